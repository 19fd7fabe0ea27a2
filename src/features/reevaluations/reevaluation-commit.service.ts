import { Injectable } from "@nestjs/common";
import type { ProtocolDocument } from "../../core/protocol/index.js";
import { reproducibilityOf } from "../../core/record/reproducibility.js";
import { type AuditEvent, AuditLog } from "../../platform/audit-log/audit-log.js";
import type { Transaction } from "../../platform/database/database.js";
import { ActiveVersionService } from "../protocols/active-version.service.js";
import { StandingJobsService } from "../rankings/standing-jobs.service.js";
import { StandingsService } from "../rankings/standings.service.js";
import { DecisionsService } from "../runs/decisions/decisions.service.js";
import { isRevoked } from "./effects.js";
import { EffectsRepository } from "./effects.repository.js";
import { PreparedPacksRepository } from "./prepared-packs.repository.js";
import { PreparedPacksService } from "./prepared-packs.service.js";
import { ReevaluationNews } from "./reevaluation-news.service.js";
import { type ReevaluationRow, ReevaluationsRepository } from "./reevaluations.repository.js";

/** Longest time that a commit, or the report of a dry run, may take, ms. */
const MAX_DURATION_MS = 15 * 60_000;
/** Revocations that are read at once. */
const RUNS_AT_ONCE = 500;

/** What is still to do before a re-evaluation can end. */
type Outcome = "done" | "runs-lack" | "packs-lack";

/**
 * Ends re-evaluations: makes their evaluations the current ones, all at once, or reports what that would change. Standings are prepared
 * before (`PreparedPacksService`), so the transaction that switches computes those of a few packs alone and moves the rest by
 * statements over whole tables; nothing of it is held in memory.
 */
@Injectable()
export class ReevaluationCommit {
  constructor(
    private readonly reevaluationsRepository: ReevaluationsRepository,
    private readonly preparedPacksService: PreparedPacksService,
    private readonly preparedPacksRepository: PreparedPacksRepository,
    private readonly effectsRepository: EffectsRepository,
    private readonly activeVersionService: ActiveVersionService,
    private readonly standingsService: StandingsService,
    private readonly standingJobsService: StandingJobsService,
    private readonly decisionsService: DecisionsService,
    private readonly reevaluationNews: ReevaluationNews,
    private readonly auditLog: AuditLog,
  ) {}

  /** Ends one whose runs are all evaluated; runs that were evaluated meanwhile under what counts until now, and those whose pack changed, are evaluated first. */
  async end(row: ReevaluationRow, document: ProtocolDocument): Promise<void> {
    let outcome: Outcome = "packs-lack";
    while (outcome === "packs-lack") {
      if (!(await this.preparedPacksService.prepare(row, document))) return;
      outcome = await this.auditLog.transaction(
        (tx) => (row.dryRun ? this.reportIn(tx, row, document) : this.commitIn(tx, row, document)),
        { timeout: MAX_DURATION_MS },
      );
    }
    if (outcome === "runs-lack") {
      await this.reevaluationsRepository.transaction(async (tx) => {
        if (await this.reevaluationsRepository.take(tx, row.id)) await this.reevaluationsRepository.addRuns(tx, row.id);
      });
    }
  }

  /** Reports what a dry run would change. */
  private async reportIn(tx: Transaction, row: ReevaluationRow, document: ProtocolDocument): Promise<Outcome> {
    if (!(await this.reevaluationsRepository.take(tx, row.id))) return "done";
    if (await this.reevaluationsRepository.hasOutdated(tx, row.id)) return "runs-lack";
    const rest = await this.preparedPacksService.rest(tx, row);
    if (!rest) return "packs-lack";
    await this.preparedPacksService.prepareSome(tx, row, document, rest);
    const effects = await this.effectsRepository.of(tx, row.id, row.protocolKey);
    await this.reevaluationsRepository.end(tx, row.id, effects);
    return "done";
  }

  /** Every run's current evaluation, the active version and every standing change in one transaction: nobody ever sees a mixture. */
  private async commitIn(tx: Transaction, row: ReevaluationRow, document: ProtocolDocument): Promise<Outcome> {
    const { id, protocolKey: key, protocolVersion: version, computationVersion } = row;
    // Everyone locks runs before the active version: the other way round could deadlock.
    await this.reevaluationsRepository.takeRuns(tx, id);
    if (!(await this.reevaluationsRepository.take(tx, id))) return "done";
    // Whoever stores an evaluation holds a shared lock on the active version: once this lock is held, none is stored unseen.
    const previous = await this.activeVersionService.lockExclusive(tx, key);
    if ((await this.reevaluationsRepository.remaining(tx, id)) > 0) return "runs-lack";
    if (await this.reevaluationsRepository.hasOutdated(tx, id)) return "runs-lack";
    const rest = await this.preparedPacksService.rest(tx, row);
    if (!rest) return "packs-lack";
    await this.preparedPacksService.prepareSome(tx, row, document, rest);
    await this.activeVersionService.set(tx, { key, version, computationVersion });
    const effects = await this.effectsRepository.of(tx, id, key);
    await this.reevaluationsRepository.noteChanged(tx, id);
    await this.reevaluationsRepository.makeCurrent(tx, id);
    await this.standingsService.afterReevaluation(tx, id, key);
    await this.preparedPacksRepository.putInPlace(tx, id, key);
    await this.estimateReproducibilities(tx, row);
    await this.activeVersionService.countChange(tx, key);
    await this.standingJobsService.queueJudgement(tx, await this.reevaluationsRepository.testersWithResults(tx, key));
    await this.reevaluationNews.begin(tx, id);
    await this.reevaluationsRepository.end(tx, id, effects);
    this.auditLog.record(tx, {
      actorId: row.requestedById,
      event: "activate",
      subject: { kind: "protocol", id: key },
      from: `${previous.version}/${previous.computationVersion}`,
      to: `${version}/${computationVersion}`,
    });
    this.auditLog.recordPages(tx, this.revocations(tx, row));
    return "done";
  }

  private async estimateReproducibilities(tx: Transaction, { id, protocolKey }: ReevaluationRow): Promise<void> {
    const scatter = await this.preparedPacksRepository.scatter(tx, id);
    const rows = scatter.map(({ figure, basis, ...sum }) => ({ figure, basis, ...reproducibilityOf(figure, sum) }));
    await this.reevaluationsRepository.replaceReproducibilities(tx, protocolKey, rows);
  }

  /** What the audit log is told of runs that lost their acceptance, page by page. */
  private async *revocations(tx: Transaction, row: ReevaluationRow): AsyncGenerator<AuditEvent[]> {
    const under = `under version ${row.protocolVersion} of the protocol and ${row.computationVersion} of the computation.`;
    for (let after: string | null = null; ; ) {
      const some = await this.reevaluationsRepository.changedRuns(tx, row.id, after, RUNS_AT_ONCE);
      yield some.filter(isRevoked).map(({ runId, to, failedRules }) => {
        const reason = `It ${to === null ? "could not be evaluated" : "does not conform"} ${under}`;
        return this.decisionsService.revocation(runId, { reason, rules: failedRules });
      });
      if (some.length < RUNS_AT_ONCE) return;
      after = some.at(-1)?.runId ?? null;
    }
  }
}
