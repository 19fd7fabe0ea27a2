import { Injectable, Logger, type OnModuleInit } from "@nestjs/common";
import { COMPUTATION_VERSION, type Evaluation } from "../../core/model.js";
import { blockingRules } from "../../core/protocol/conformance.js";
import type { ProtocolDocument } from "../../core/protocol/index.js";
import type { Caller } from "../../platform/auth/account.js";
import type { Transaction } from "../../platform/database/database.js";
import { isDatabaseAway } from "../../platform/database/faults.js";
import { idOf } from "../../platform/database/uuid.js";
import { invalidInput } from "../../platform/http/input.pipe.js";
import { mapPage, type Page, type PageArgs, readPage } from "../../platform/paging/page.js";
import { notFound, Problem } from "../../platform/problems/problem.js";
import { JobQueue } from "../../platform/queue/job-queue.js";
import { Happenings } from "../../platform/record/happenings.js";
import { CountingService } from "../protocols/counting.service.js";
import { ProtocolsService } from "../protocols/protocols.service.js";
import { PublicationService } from "../protocols/publication.service.js";
import { EvaluationsService } from "../runs/evaluations.service.js";
import type { Effects } from "./effects.js";
import {
  FINISH_REEVALUATION,
  type ItemOutcome,
  type NewReevaluation,
  REEVALUATE_RUN,
  type ReevaluationRow,
  ReevaluationsRepository,
} from "./reevaluations.repository.js";
import type { ReevaluationInput, ReevaluationState, ReevaluationView } from "./reevaluations.views.js";
import { SwitchService } from "./switch.service.js";

const GIVEN_UP = { code: "internal-error", message: "The service failed again and again, and the fault was recorded." };

/** Evaluates every run of a protocol anew in the background. What was done is kept when a process dies. */
@Injectable()
export class ReevaluationsService implements OnModuleInit {
  private readonly logger = new Logger("Reevaluations");

  constructor(
    private readonly queue: JobQueue,
    private readonly repository: ReevaluationsRepository,
    private readonly counting: CountingService,
    private readonly protocols: ProtocolsService,
    private readonly publication: PublicationService,
    private readonly evaluations: EvaluationsService,
    private readonly switches: SwitchService,
    private readonly happenings: Happenings,
  ) {}

  onModuleInit(): void {
    this.queue.handle(REEVALUATE_RUN, async (payload, { isLast }) => {
      const { reevaluationId, runId } = payload as { reevaluationId: string; runId: string };
      try {
        await this.evaluate(reevaluationId, runId);
      } catch (error) {
        if (isLast && error instanceof OtherComputation) {
          await this.repository.transaction((tx) => this.repository.queueRuns(tx, reevaluationId, [runId]));
        } else if (isLast && !isDatabaseAway(error)) {
          await this.settle(reevaluationId, runId, async () => ({ outcome: "failed", error: GIVEN_UP }));
        }
        throw error;
      }
    });
    this.queue.handle(FINISH_REEVALUATION, async (payload, { isLast }) => {
      const { reevaluationId } = payload as { reevaluationId: string };
      try {
        await this.finish(reevaluationId);
      } catch (error) {
        if (isLast && error instanceof OtherComputation) {
          await this.repository.transaction((tx) => this.repository.queueFinish(tx, reevaluationId));
        } else if (isLast && !isDatabaseAway(error)) {
          await this.repository.transaction((tx) => this.repository.giveUp(tx, reevaluationId, "failed", GIVEN_UP));
        }
        throw error;
      }
    });
  }

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
    const existing = await this.repository.findAtWork(document.key);
    throw new Problem("already-exists", "The protocol's runs are being re-evaluated. Await its end, or cancel it.", {
      extensions: { existingId: existing?.id ?? null },
    });
  }

  async get(id: string): Promise<ReevaluationView> {
    const row = await this.repository.find(idOf(id, "reevaluation"));
    if (!row) throw notFound("reevaluation");
    return reevaluationView(row);
  }

  async list(args: PageArgs): Promise<Page<ReevaluationView>> {
    const page = await readPage(
      args,
      (take) => this.repository.list(args.after ?? null, take),
      ({ id }) => [id],
    );
    return mapPage(page, reevaluationView);
  }

  /** Ends one that is at work; nothing that counts has changed by it. */
  async cancel(id: string, caller: Caller): Promise<ReevaluationView> {
    const row = await this.repository.find(idOf(id, "reevaluation"));
    if (!row) throw notFound("reevaluation");
    const isCancelled = await this.happenings.transaction(async (tx) => {
      const cancelled = await this.repository.giveUp(tx, row.id, "cancelled", null);
      const subject = { kind: "protocol", id: row.protocolKey } as const;
      if (cancelled) this.happenings.tell(tx, { actorId: caller.id, event: "reevaluation-cancelled", subject });
      return cancelled;
    });
    if (!isCancelled) throw new Problem("decision-not-possible", `The re-evaluation is ${row.state} already.`);
    return this.get(row.id);
  }

  /** After an upgrade that computes otherwise: begins to evaluate what an older version of the computation made. */
  async startWhereOutdated(): Promise<void> {
    for (const { protocol, computationVersion } of await this.counting.list()) {
      if (Number(computationVersion) >= Number(COMPUTATION_VERSION)) continue;
      await this.repository.transaction((tx) => this.repository.giveUpOlder(tx, protocol.key, COMPUTATION_VERSION));
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

  /** @throws Problem when something newer counts: what counts never goes back */
  private async requireNoStepBack(tx: Transaction, { key, version }: ProtocolDocument): Promise<void> {
    const { protocol, computationVersion } = await this.counting.hold(tx, key);
    if (version < protocol.version) {
      const message = `must be ${protocol.version} or newer: what counts never goes back`;
      throw invalidInput([{ pointer: "/protocolVersion", message }]);
    }
    if (Number(COMPUTATION_VERSION) < Number(computationVersion)) {
      const detail = `This process computes version ${COMPUTATION_VERSION}, and ${computationVersion} counts. Ask a newer one.`;
      throw new Problem("decision-not-possible", detail);
    }
  }

  /** Another process that started at the same time may have begun it, and be done by now. */
  private async requireOutdated(tx: Transaction, protocolKey: string): Promise<void> {
    const { computationVersion } = await this.counting.hold(tx, protocolKey);
    if (Number(computationVersion) >= Number(COMPUTATION_VERSION)) throw new Superseded();
  }

  /** @param require throws when it is not to begin after all; what it locks is locked after the re-evaluations themselves */
  private begin(wanted: NewReevaluation, require: (tx: Transaction) => Promise<void>): Promise<string | null> {
    return this.happenings.transaction(async (tx) => {
      const id = await this.repository.begin(tx, wanted);
      await require(tx);
      const { protocolKey, protocolVersion, requestedById, document } = wanted;
      const event = document ? "reevaluation-tried" : "reevaluation-begun";
      const subject = { kind: "protocol", id: `${protocolKey}/${protocolVersion}` } as const;
      if (id) this.happenings.tell(tx, { actorId: requestedById, event, subject });
      return id;
    });
  }

  private async documentOf({ protocol, protocolVersion, document, dryRun }: ReevaluationInput) {
    if (!document) return (await this.protocols.get(protocol, protocolVersion)).document as ProtocolDocument;
    if (!dryRun) {
      throw invalidInput([{ pointer: "/dryRun", message: "must be true: a document counts once it is published" }]);
    }
    return this.publication.requireNext(protocol, document, "/document");
  }

  private async evaluate(id: string, runId: string): Promise<void> {
    const row = await this.repository.find(id);
    if (!row || !(await this.repository.isWaiting(id, runId))) return;
    requireSameComputation(row);
    const document = await this.documentUnder(row);
    const outcome = await this.evaluations.evaluateAgain(runId, document);
    await this.settle(id, runId, async (tx): Promise<ItemOutcome> => {
      if (!outcome) return { outcome: "left" };
      if ("fault" in outcome) {
        const { code, message } = outcome.fault;
        return { outcome: "failed", error: { code, message } };
      }
      const { evaluation } = outcome;
      const kept = row.dryRun
        ? { result: resultOf(evaluation) }
        : { evaluationId: await this.evaluations.keep(tx, runId, outcome) };
      return {
        outcome: "evaluated",
        verdict: evaluation.verdict,
        failedRules: blockingRules(evaluation.findings, document.rules),
        ...kept,
      };
    });
  }

  /** Keeps what came of a run, all or nothing, and once. */
  private async settle(id: string, runId: string, keep: (tx: Transaction) => Promise<ItemOutcome>): Promise<void> {
    try {
      await this.repository.transaction(async (tx) => {
        if (!(await this.repository.settle(tx, id, runId, await keep(tx)))) throw new Superseded();
      });
    } catch (error) {
      if (!(error instanceof Superseded)) throw error;
      this.logger.log(`run ${runId} was settled before, or is not wanted any more`);
    }
  }

  private async documentUnder({ document, protocolKey, protocolVersion }: ReevaluationRow): Promise<ProtocolDocument> {
    if (document) return document as unknown as ProtocolDocument;
    return this.protocols.document(protocolKey, protocolVersion);
  }

  private async finish(id: string): Promise<void> {
    const row = await this.repository.find(id);
    if (row?.state !== "evaluating" || row.done < row.total) return;
    requireSameComputation(row);
    await (row.dryRun ? this.switches.report(row) : this.switches.switch(row));
  }
}

/** Nothing of what was done for it is kept. */
class Superseded extends Error {}

function toldAsDone(error: unknown): void {
  if (!(error instanceof Superseded)) throw error;
}

/** Wanted of a process of another version; this one's tries say nothing of the run. */
class OtherComputation extends Error {}

/** While a service is upgraded, processes of two versions work side by side; each leaves the other's work alone. */
function requireSameComputation({ computationVersion }: ReevaluationRow): void {
  if (computationVersion === COMPUTATION_VERSION) return;
  const message = `this process computes version ${COMPUTATION_VERSION}, version ${computationVersion} is wanted`;
  throw new OtherComputation(message);
}

/** What standings are computed from. */
function resultOf({ trace, figures, findings }: Evaluation): object {
  return {
    cutoffS: trace.cutoffS,
    stop: trace.stop,
    figures: figures.map(({ budget: _, ...figure }) => figure),
    findings: findings.map(({ rule, observed }) => ({ rule, observed })),
  };
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
