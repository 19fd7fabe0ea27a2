import { Injectable } from "@nestjs/common";
import { COMPUTATION_VERSION } from "../../core/model.js";
import type { ProtocolDocument } from "../../core/protocol/index.js";
import { AuditLog } from "../../platform/audit-log/audit-log.js";
import type { Caller } from "../../platform/auth/account.js";
import type { Transaction } from "../../platform/database/database.js";
import { idOf } from "../../platform/database/rows/uuid.js";
import { invalidInput } from "../../platform/http/requests/input.pipe.js";
import { mapPage, type Page, type PageArgs, readPage } from "../../platform/paging/page.js";
import { notFound, Problem } from "../../platform/problems/problem.js";
import { ActiveVersionService } from "../protocols/active-version.service.js";
import { ProtocolsService } from "../protocols/protocols.service.js";
import { PublicationService } from "../protocols/publication.service.js";
import type { Effects } from "./effects.js";
import { type NewReevaluation, type ReevaluationRow, ReevaluationsRepository } from "./reevaluations.repository.js";
import type { ReevaluationInput, ReevaluationState, ReevaluationView } from "./reevaluations.views.js";

/** Begins, shows and cancels re-evaluations: every run of a protocol is evaluated anew in the background. */
@Injectable()
export class ReevaluationsService {
  constructor(
    private readonly reevaluationsRepository: ReevaluationsRepository,
    private readonly activeVersionService: ActiveVersionService,
    private readonly protocolsService: ProtocolsService,
    private readonly publicationService: PublicationService,
    private readonly auditLog: AuditLog,
  ) {}

  /**
   * Begins to evaluate every run of a protocol under a version of it: the newest, unless another one is named. A dry run
   * tells what that would change, also for a document that is not published yet.
   */
  async start(input: ReevaluationInput, caller: Caller): Promise<ReevaluationView> {
    const document = await this.documentOf(input);
    const wanted = {
      protocolKey: document.key,
      protocolVersion: document.version,
      computationVersion: COMPUTATION_VERSION,
      document: input.dryRun ? document : null,
      requestedById: caller.id,
    };
    const id = await this.begin(wanted, (tx) => this.requireNoStepBack(tx, document));
    if (id) return this.get(id);
    const existing = await this.reevaluationsRepository.findAtWork(document.key);
    throw new Problem("already-exists", "The protocol's runs are being re-evaluated. Await its end, or cancel it.", {
      extensions: { existingId: existing?.id ?? null },
    });
  }

  async get(id: string): Promise<ReevaluationView> {
    const row = await this.reevaluationsRepository.find(idOf(id, "reevaluation"));
    if (!row) throw notFound("reevaluation");
    return reevaluationView(row);
  }

  async list(args: PageArgs): Promise<Page<ReevaluationView>> {
    const page = await readPage(args, {
      name: "reevaluations",
      keys: ["uuid"],
      read: (window) => this.reevaluationsRepository.list(window),
      count: () => this.reevaluationsRepository.count(),
      keyOf: ({ id }) => [id],
    });
    return mapPage(page, reevaluationView);
  }

  /** Ends one that is at work; nothing that counts has changed by it. */
  async cancel(id: string, caller: Caller): Promise<ReevaluationView> {
    const row = await this.reevaluationsRepository.find(idOf(id, "reevaluation"));
    if (!row) throw notFound("reevaluation");
    const isCancelled = await this.auditLog.transaction(async (tx) => {
      const cancelled = await this.reevaluationsRepository.giveUp(tx, row.id, "cancelled", null);
      const subject = { kind: "protocol", id: row.protocolKey } as const;
      if (cancelled) this.auditLog.record(tx, { actorId: caller.id, event: "reevaluation-cancelled", subject });
      return cancelled;
    });
    if (!isCancelled) throw new Problem("decision-not-possible", `The re-evaluation is ${row.state} already.`);
    return this.get(row.id);
  }

  /** After an upgrade that computes otherwise: begins to evaluate what an older version of the computation made. */
  async startWhereOutdated(): Promise<void> {
    for (const { protocol, computationVersion } of await this.activeVersionService.list()) {
      if (computationVersion >= COMPUTATION_VERSION) continue;
      await this.reevaluationsRepository.transaction((tx) =>
        this.reevaluationsRepository.giveUpOlder(tx, protocol.key, COMPUTATION_VERSION),
      );
      const wanted = {
        protocolKey: protocol.key,
        protocolVersion: protocol.version,
        computationVersion: COMPUTATION_VERSION,
        document: null,
        requestedById: null,
      };
      await this.begin(wanted, (tx) => this.requireOutdated(tx, protocol.key)).catch(toldAsDone);
    }
  }

  /** @throws Problem when a newer version is active: the active version never goes back */
  private async requireNoStepBack(tx: Transaction, { key, version }: ProtocolDocument): Promise<void> {
    const { protocol, computationVersion } = await this.activeVersionService.lockShared(tx, key);
    if (version < protocol.version) {
      const message = `must be ${protocol.version} or newer: the active version never goes back`;
      throw invalidInput([{ pointer: "/protocolVersion", message }]);
    }
    if (COMPUTATION_VERSION < computationVersion) {
      const detail = `This process computes version ${COMPUTATION_VERSION}, and ${computationVersion} counts. Ask a newer one.`;
      throw new Problem("decision-not-possible", detail);
    }
  }

  /** Another process that started at the same time may have begun it, and be done by now. */
  private async requireOutdated(tx: Transaction, protocolKey: string): Promise<void> {
    const { computationVersion } = await this.activeVersionService.lockShared(tx, protocolKey);
    if (computationVersion >= COMPUTATION_VERSION) throw new NothingToDo();
  }

  /** @param require throws when it is not to begin after all; what it locks is locked after the re-evaluations themselves */
  private begin(wanted: NewReevaluation, require: (tx: Transaction) => Promise<void>): Promise<string | null> {
    return this.auditLog.transaction(async (tx) => {
      const id = await this.reevaluationsRepository.begin(tx, wanted);
      await require(tx);
      const { protocolKey, protocolVersion, requestedById, document } = wanted;
      const event = document ? "reevaluation-tried" : "reevaluation-begun";
      const subject = { kind: "protocol", id: `${protocolKey}/${protocolVersion}` } as const;
      if (id) this.auditLog.record(tx, { actorId: requestedById, event, subject });
      return id;
    });
  }

  private async documentOf({ protocol, protocolVersion, document, dryRun }: ReevaluationInput) {
    if (!document) return (await this.protocolsService.get(protocol, protocolVersion)).document as ProtocolDocument;
    if (!dryRun) {
      throw invalidInput([{ pointer: "/dryRun", message: "must be true: a document counts once it is published" }]);
    }
    return this.publicationService.requireNext(protocol, document, "/document");
  }
}

/** What was to begin is done already. */
class NothingToDo extends Error {}

function toldAsDone(error: unknown): void {
  if (!(error instanceof NothingToDo)) throw error;
}

function reevaluationView(row: ReevaluationRow): ReevaluationView {
  const { id, protocolKey, protocolVersion, computationVersion, dryRun, total, done, failed, requestedBy } = row;
  return {
    id,
    protocol: { key: protocolKey, version: protocolVersion },
    computationVersion,
    dryRun,
    state: row.state as ReevaluationState,
    requestedBy: requestedBy && { id: requestedBy.id, handle: requestedBy.handle },
    createdAt: row.createdAt.toISOString(),
    finishedAt: row.finishedAt?.toISOString() ?? null,
    total,
    done,
    failed,
    effects: row.effects as unknown as Effects | null,
  };
}
