import { Injectable } from "@nestjs/common";
import type { ProtocolDocument } from "../../core/protocol/index.js";
import { AuditLog } from "../../platform/audit-log/audit-log.js";
import type { Transaction } from "../../platform/database/database.js";
import { loadOfColumn } from "../../platform/database/load-column.js";
import { type NewNotice, NoticeWriter } from "../notices/notice-writer.service.js";
import { ActiveVersionService } from "../protocols/active-version.service.js";
import { StandingsService } from "../rankings/standings.service.js";
import { DecisionsService } from "../runs/decisions/decisions.service.js";
import { DryRunRepository } from "./dry-run.repository.js";
import { effectsOf, losesAcceptance } from "./effects.js";
import { type KeptOutcome, type ReevaluationRow, ReevaluationsRepository } from "./reevaluations.repository.js";

/** Longest time that a commit, or the report of a dry run, may take, ms. */
const MAX_DURATION_MS = 15 * 60_000;

/** Ends re-evaluations: makes their evaluations the current ones, all at once, or reports what that would change. */
@Injectable()
export class ReevaluationCommit {
  constructor(
    private readonly reevaluationsRepository: ReevaluationsRepository,
    private readonly dryRunRepository: DryRunRepository,
    private readonly activeVersionService: ActiveVersionService,
    private readonly standingsService: StandingsService,
    private readonly decisionsService: DecisionsService,
    private readonly auditLog: AuditLog,
    private readonly noticeWriter: NoticeWriter,
  ) {}

  /** Reports what a dry run would change. */
  async report(row: ReevaluationRow): Promise<void> {
    const { id, computationVersion } = row;
    const protocol = row.document as unknown as ProtocolDocument;
    const outcomes = await this.reevaluationsRepository.outcomes(id);
    const effects = await this.dryRunRepository.asIfDone(id, row, MAX_DURATION_MS, async (tx) => {
      const before = await this.standingsService.all(tx, protocol.key);
      const { standings } = await this.standingsService.computeAll(tx, { protocol, computationVersion });
      return effectsOf(outcomes, before.map(ranked), standings.map(ranked));
    });
    await this.reevaluationsRepository.transaction(async (tx) => {
      if (await this.reevaluationsRepository.take(tx, id)) await this.reevaluationsRepository.end(tx, id, effects);
    });
  }

  /**
   * Makes the evaluations the current ones: every run's current evaluation, the active version and every standing change in
   * one transaction, so that nobody ever sees a mixture. Runs that were evaluated meanwhile under the version active until
   * now are evaluated first.
   */
  async commit(row: ReevaluationRow): Promise<void> {
    const done = await this.auditLog.transaction((tx) => this.commitIn(tx, row), { timeout: MAX_DURATION_MS });
    if (!done) await this.reevaluationsRepository.transaction((tx) => this.reevaluationsRepository.addRuns(tx, row.id));
  }

  private async commitIn(tx: Transaction, row: ReevaluationRow): Promise<boolean> {
    const { id, protocolKey: key, protocolVersion: version, computationVersion } = row;
    // Everyone locks runs before the active version: the other way round could deadlock.
    await this.reevaluationsRepository.takeRuns(tx, id);
    if (!(await this.reevaluationsRepository.take(tx, id))) return true;
    // Whoever stores an evaluation holds a shared lock on the active version: once this lock is held, none is stored unseen.
    const previous = await this.activeVersionService.lockExclusive(tx, key);
    if ((await this.reevaluationsRepository.remaining(tx, id)) > 0) return false;
    await this.activeVersionService.set(tx, { key, version, computationVersion });
    const outcomes = await this.reevaluationsRepository.outcomes(id, tx);
    const staying = outcomes.filter((outcome) => !losesAcceptance(outcome));
    await this.reevaluationsRepository.makeCurrent(
      tx,
      id,
      staying.map(({ runId }) => runId),
    );
    for (const { runId, evaluationId, failedRules, to } of outcomes.filter(losesAcceptance)) {
      const what = to === null ? "could not be evaluated" : "does not conform";
      const reason = `It ${what} under version ${version} of the protocol and ${computationVersion} of the computation.`;
      await this.decisionsService.revokeAcceptance(tx, runId, evaluationId, { reason, rules: [...failedRules] });
    }
    await this.noticeWriter.tell(tx, staying.flatMap(noticeOf));
    const before = await this.standingsService.all(tx, key);
    const protocol = await this.activeVersionService.lockShared(tx, key);
    const after = await this.standingsService.computeAll(tx, protocol);
    await this.standingsService.replaceAll(tx, key, after);
    const effects = effectsOf(outcomes, before.map(ranked), after.standings.map(ranked));
    await this.reevaluationsRepository.end(tx, id, effects);
    this.auditLog.record(tx, {
      actorId: row.requestedById,
      event: "activate",
      subject: { kind: "protocol", id: key },
      from: `${previous.version}/${previous.computationVersion}`,
      to: `${version}/${computationVersion}`,
    });
    return true;
  }
}

/** A standing of the database, where 0 stands for the runs' own loads, as one of core. */
const ranked = <T extends { readonly load: number }>(
  standing: T,
): Omit<T, "load"> & { readonly load: number | null } => ({
  ...standing,
  load: loadOfColumn(standing.load),
});

/** What a tester is told of a run that has another verdict. */
function noticeOf({ runId, testerId, from, to, failedRules }: KeptOutcome): NewNotice[] {
  const facts = { from, to, rules: failedRules };
  return from === to ? [] : [{ kind: "verdict-changed", accountId: testerId, subjectId: runId, facts }];
}
