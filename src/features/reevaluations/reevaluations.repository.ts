import { Injectable } from "@nestjs/common";
import type { ReviewState } from "../../core/lifecycle/run-lifecycle.js";
import type { Verdict } from "../../core/model.js";
import type { ProtocolDocument } from "../../core/protocol/index.js";
import type { Reproducibility } from "../../core/record/reproducibility.js";
import { Prisma } from "../../generated/prisma/client.js";
import { AuditLog } from "../../platform/audit-log/audit-log.js";
import { Database, type Transaction } from "../../platform/database/database.js";
import { insertRows } from "../../platform/database/rows/insert-rows.js";
import { byId } from "../../platform/paging/by-id.js";
import type { Window } from "../../platform/paging/page.js";
import { addJob, addJobs } from "../../platform/queue/add-job.js";
import { CHECK_COPIES } from "../runs/runs.service.js";
import type { Effects } from "./effects.js";
import { PreparedPacksRepository } from "./prepared-packs.repository.js";

export const REEVALUATE_RUN = "reevaluate-run";
export const FINISH_REEVALUATION = "finish-reevaluation";
/** What follows the end of one: testers are told, and runs compared anew, some at a time. */
export const TELL_VERDICTS = "tell-verdicts";
export type NewsKind = "changed" | "undecided";

/** Which protocol version, under which version of the computation. */
export interface Target {
  readonly protocolKey: string;
  readonly protocolVersion: number;
  readonly computationVersion: number;
}

export interface NewReevaluation extends Target {
  /** Of a dry run: what it tries. */
  readonly document: ProtocolDocument | null;
  /** Null for the service itself. */
  readonly requestedById: string | null;
}

const WITH_REQUESTER = { requestedBy: { select: { id: true, handle: true } } } satisfies Prisma.ReevaluationInclude;
export type ReevaluationRow = Prisma.ReevaluationGetPayload<{ include: typeof WITH_REQUESTER }>;

/** A run that has another verdict since a re-evaluation ended. */
export interface ChangedRun {
  readonly runId: string;
  readonly testerId: string;
  readonly review: ReviewState;
  readonly from: Verdict;
  readonly to: Verdict | null;
  readonly failedRules: string[];
}

/** What came of evaluating one run. */
export type ItemOutcome =
  | {
      readonly outcome: "evaluated";
      readonly verdict: string;
      readonly failedRules: string[];
      /** The stored evaluation, or of a dry run what standings are computed from. */
      readonly evaluationId?: string;
      readonly result?: object;
    }
  | { readonly outcome: "failed"; readonly error: { readonly code: string; readonly message: string } }
  | { readonly outcome: "skipped" };

@Injectable()
export class ReevaluationsRepository {
  constructor(
    private readonly database: Database,
    private readonly auditLog: AuditLog,
    private readonly preparedPacksRepository: PreparedPacksRepository,
  ) {}

  /** Begins one with all its runs queued; null while another one of the protocol is at work. */
  async begin(tx: Transaction, { document, ...target }: NewReevaluation): Promise<string | null> {
    const data = {
      ...target,
      dryRun: document !== null,
      document: document === null ? Prisma.DbNull : (document as unknown as Prisma.InputJsonObject),
    };
    const [made] = await tx.reevaluation.createManyAndReturn({ data: [data], skipDuplicates: true });
    if (!made) return null;
    await this.addRuns(tx, made.id);
    return made.id;
  }

  /**
   * Queues the runs of the protocol that it lacks, which are not evaluated under its target, and those whose pack changed since their
   * evaluation began; or else its end. It is taken before, except where it is new.
   */
  async addRuns(tx: Transaction, id: string): Promise<void> {
    const added = await tx.$queryRaw<{ runId: string }[]>`
      INSERT INTO reevaluation_run (reevaluation_id, run_id, failed_rules)
      SELECT reevaluation.id, run.id, '{}' FROM reevaluation JOIN run ON run.protocol_key = reevaluation.protocol_key
      WHERE reevaluation.id = ${id}::uuid AND ${REMAINING}
      ORDER BY run.id
      RETURNING run_id::text AS "runId"`;
    const reopened = await this.reopen(tx, id);
    if (added.length + reopened.length === 0) return this.queueFinish(tx, id);
    await tx.reevaluation.update({ where: { id }, data: { total: { increment: added.length } } });
    const runIds = [...added, ...reopened].map(({ runId }) => runId);
    return this.queueRuns(tx, id, runIds);
  }

  /** Drops what came of runs whose pack changed since their evaluation began: these are to be evaluated again. */
  private async reopen(tx: Transaction, id: string): Promise<{ runId: string }[]> {
    const reopened = await tx.$queryRaw<{ runId: string; outcome: string }[]>`
      WITH item AS MATERIALIZED (
        SELECT run_id, outcome FROM reevaluation_run WHERE reevaluation_id = ${id}::uuid AND outdated AND outcome <> 'pending'
        ORDER BY run_id FOR UPDATE)
      UPDATE reevaluation_run AS reopened SET outcome = 'pending', verdict = NULL, failed_rules = '{}', evaluation_id = NULL,
        result = NULL, error = NULL
      FROM item WHERE reopened.reevaluation_id = ${id}::uuid AND reopened.run_id = item.run_id
      RETURNING reopened.run_id::text AS "runId", item.outcome`;
    const failed = reopened.filter(({ outcome }) => outcome === "failed").length;
    const data = { done: { decrement: reopened.length }, failed: { decrement: failed } };
    if (reopened.length > 0) await tx.reevaluation.update({ where: { id }, data });
    return reopened;
  }

  /** Whether the pack of a run changed since its evaluation began. */
  async hasOutdated(tx: Transaction, id: string): Promise<boolean> {
    return (await tx.reevaluationRun.findFirst({ where: { reevaluationId: id, outdated: true } })) !== null;
  }

  queueRuns(tx: Transaction, id: string, runIds: readonly string[]): Promise<void> {
    const jobs = runIds.map((runId) => ({
      payload: { reevaluationId: id, runId },
      key: `${REEVALUATE_RUN}:${id}:${runId}`,
    }));
    return addJobs(tx, REEVALUATE_RUN, jobs, "background");
  }

  queueFinish(tx: Transaction, id: string): Promise<void> {
    return addJob(tx, FINISH_REEVALUATION, { reevaluationId: id }, `${FINISH_REEVALUATION}:${id}`);
  }

  /** Number of runs of the protocol that are not yet evaluated under its target. */
  async remaining(tx: Transaction, id: string): Promise<number> {
    const [row] = await tx.$queryRaw<{ runs: number }[]>`
      SELECT count(*)::int AS runs FROM reevaluation JOIN run ON run.protocol_key = reevaluation.protocol_key
      WHERE reevaluation.id = ${id}::uuid AND ${REMAINING}`;
    return row?.runs ?? 0;
  }

  find(id: string): Promise<ReevaluationRow | null> {
    return this.database.reevaluation.findUnique({ where: { id }, include: WITH_REQUESTER });
  }

  /** The one of a protocol that is at work. */
  findAtWork(protocolKey: string): Promise<{ id: string } | null> {
    return this.database.reevaluation.findFirst({ where: { protocolKey, state: "evaluating" }, select: { id: true } });
  }

  /** Newest first. */
  list(window: Window): Promise<ReevaluationRow[]> {
    return this.database.reevaluation.findMany({ include: WITH_REQUESTER, ...byId(window, "desc") });
  }

  count(): Promise<number> {
    return this.database.reevaluation.count();
  }

  /** Notes that a run's evaluation begins, before anything of the run is read; false when it is not to be evaluated. */
  async start(id: string, runId: string): Promise<boolean> {
    const where = { reevaluationId: id, runId, outcome: "pending", reevaluation: { state: "evaluating" } };
    return (await this.database.reevaluationRun.updateMany({ where, data: { outdated: false } })).count > 0;
  }

  /** Notes what came of a run, once; the last one queues the end. False when it was noted before or is wanted no more. */
  async settle(tx: Transaction, id: string, runId: string, settled: ItemOutcome): Promise<boolean> {
    if (!(await this.take(tx, id))) return false;
    const { count } = await tx.reevaluationRun.updateMany({
      where: { reevaluationId: id, runId, outcome: "pending" },
      data: settled as Prisma.ReevaluationRunUncheckedUpdateManyInput,
    });
    if (count === 0) return false;
    const failed = settled.outcome === "failed" ? 1 : 0;
    const data = { done: { increment: 1 }, failed: { increment: failed } };
    const { done, total } = await tx.reevaluation.update({ where: { id }, data });
    await this.preparedPacksRepository.dropOfRun(tx, id, runId);
    if (done === total) await this.queueFinish(tx, id);
    return true;
  }

  /** Takes one that is at work, until the transaction ends; false when it is at work no more. */
  async take(tx: Transaction, id: string): Promise<boolean> {
    const rows = await tx.$queryRaw<object[]>`
      SELECT FROM reevaluation WHERE id = ${id}::uuid AND state = 'evaluating' FOR UPDATE`;
    return rows.length > 0;
  }

  /** Takes all its runs, in the order in which everyone does, until the transaction ends. */
  async takeRuns(tx: Transaction, id: string): Promise<void> {
    await tx.$queryRaw`
      SELECT count(*)::int FROM (
        SELECT FROM run WHERE id IN (SELECT run_id FROM reevaluation_run WHERE reevaluation_id = ${id}::uuid)
        ORDER BY id FOR UPDATE) AS taken`;
  }

  /** Notes what has held until now of runs that have another verdict by it, before it counts; withdrawn ones are left out. */
  async noteChanged(tx: Transaction, id: string): Promise<void> {
    await tx.$executeRaw`
      UPDATE reevaluation_run AS item SET verdict_before = evaluation.verdict, review_before = run.review_state
      FROM run JOIN evaluation ON evaluation.id = run.current_evaluation_id
      WHERE item.reevaluation_id = ${id}::uuid AND run.id = item.run_id AND item.outcome IN ('evaluated', 'failed')
        AND run.review_state <> 'withdrawn' AND evaluation.verdict IS DISTINCT FROM item.verdict`;
  }

  /** Makes its evaluations the current ones, which are up to date; accepted runs that conform no more, or could not be evaluated, are pending again. */
  async makeCurrent(tx: Transaction, id: string): Promise<void> {
    await tx.$executeRaw`
      UPDATE run SET current_evaluation_id = coalesce(item.evaluation_id, run.current_evaluation_id), review_state = 'pending'
      FROM reevaluation_run AS item
      WHERE item.reevaluation_id = ${id}::uuid AND item.run_id = run.id AND item.verdict_before IS NOT NULL
        AND run.review_state = 'accepted' AND coalesce(item.verdict, 'nonconforming') = 'nonconforming'`;
    // The review state is left alone: whoever sets it has the run's log looked up, and locked.
    await tx.$executeRaw`
      UPDATE run SET current_evaluation_id = item.evaluation_id, outdated = false FROM reevaluation_run AS item
      WHERE item.reevaluation_id = ${id}::uuid AND item.run_id = run.id AND item.outcome = 'evaluated'
        AND ${IS_TAKEN} AND (run.outdated OR run.current_evaluation_id IS DISTINCT FROM item.evaluation_id)`;
  }

  /** Runs that have another verdict since it ended, by id. */
  changedRuns(tx: Transaction, id: string, after: string | null, take: number): Promise<ChangedRun[]> {
    return tx.$queryRaw<ChangedRun[]>`
      SELECT run.id::text AS "runId", run.tester_id::text AS "testerId", item.review_before AS review, item.verdict_before AS "from",
        item.verdict AS "to", item.failed_rules AS "failedRules"
      FROM reevaluation_run AS item JOIN run ON run.id = item.run_id
      WHERE item.reevaluation_id = ${id}::uuid AND item.verdict_before IS NOT NULL AND ${isAfter("item.run_id", after)}
      ORDER BY item.run_id LIMIT ${take}::int`;
  }

  /** Runs that nobody has decided on, whose evaluation by it is their current one, by id. */
  async undecidedRuns(tx: Transaction, id: string, after: string | null, take: number): Promise<string[]> {
    const rows = await tx.$queryRaw<{ runId: string }[]>`
      SELECT run.id::text AS "runId" FROM run JOIN reevaluation_run AS item ON item.run_id = run.id AND item.reevaluation_id = ${id}::uuid
      WHERE run.review_state IN ('pending', 'info-requested') AND run.current_evaluation_id = item.evaluation_id
        AND item.review_before IS DISTINCT FROM 'accepted' AND ${isAfter("run.id", after)}
      ORDER BY run.id LIMIT ${take}::int`;
    return rows.map(({ runId }) => runId);
  }

  queueComparisons(tx: Transaction, runIds: readonly string[]): Promise<void> {
    const jobs = runIds.map((runId) => ({ payload: { runId }, key: `${CHECK_COPIES}:${runId}` }));
    return addJobs(tx, CHECK_COPIES, jobs, "background");
  }

  /** Queues what follows its end: the next of some pages. */
  queueNews(tx: Transaction, id: string, about: NewsKind, after: string | null): Promise<void> {
    return addJob(
      tx,
      TELL_VERDICTS,
      { reevaluationId: id, about, after },
      `${TELL_VERDICTS}:${id}:${about}`,
      "background",
    );
  }

  /** Puts estimates in the place of all of a protocol. */
  async replaceReproducibilities(
    tx: Transaction,
    protocolKey: string,
    rows: readonly (Reproducibility & { readonly figure: string; readonly basis: string })[],
  ): Promise<void> {
    await tx.figureReproducibility.deleteMany({ where: { protocolKey } });
    await insertRows(
      tx,
      "figure_reproducibility",
      rows.map((row) => ({ protocolKey, ...row })),
    );
  }

  /** Everybody with results under a protocol. */
  async testersWithResults(tx: Transaction, protocolKey: string): Promise<string[]> {
    const rows = await tx.$queryRaw<{ id: string }[]>`
      SELECT DISTINCT tester_id::text AS id FROM tester_result WHERE protocol_key = ${protocolKey}`;
    return rows.map(({ id }) => id);
  }

  async end(tx: Transaction, id: string, effects: Effects): Promise<void> {
    const data = { state: "finished", effects: effects as unknown as Prisma.InputJsonObject, finishedAt: new Date() };
    await tx.reevaluation.update({ where: { id }, data });
    await this.dropResults(tx, id);
  }

  /** Ends one that is at work without any effect; false when it is at work no more. */
  async giveUp(tx: Transaction, id: string, state: "cancelled" | "failed", error: object | null): Promise<boolean> {
    const { count } = await tx.reevaluation.updateMany({
      where: { id, state: "evaluating" },
      data: { state, finishedAt: new Date(), ...(error ? { error } : {}) },
    });
    if (count > 0) await this.dropResults(tx, id);
    return count > 0;
  }

  /** Gives up those at work for a protocol that another version of the computation began. */
  async giveUpOlder(tx: Transaction, protocolKey: string, computationVersion: number): Promise<void> {
    const where = { protocolKey, state: "evaluating", computationVersion: { not: computationVersion } };
    for (const { id } of await tx.reevaluation.findMany({ where })) await this.giveUp(tx, id, "cancelled", null);
  }

  transaction<T>(work: (tx: Transaction) => Promise<T>): Promise<T> {
    return this.auditLog.transaction(work);
  }

  private async dropResults(tx: Transaction, id: string): Promise<void> {
    await this.preparedPacksRepository.drop(tx, id);
    await tx.$executeRaw`
      UPDATE reevaluation_run SET result = NULL WHERE reevaluation_id = ${id}::uuid AND result IS NOT NULL`;
  }
}

const isAfter = (column: string, after: string | null): Prisma.Sql =>
  after === null ? Prisma.sql`true` : Prisma.sql`${Prisma.raw(column)} > ${after}::uuid`;

/** Runs that were withdrawn when their figures had been seen stay in their testers' means, and are evaluated anew as well. */
export const IS_TAKEN = Prisma.sql`(run.review_state <> 'withdrawn' OR run.withdrawn_from IS NOT NULL)`;

/** A dry run takes every evaluated run; a real one those that are not evaluated under its target, or a newer version, yet. */
const REMAINING = Prisma.sql`run.state = 'processed' AND ${IS_TAKEN}
  AND NOT EXISTS (SELECT FROM reevaluation_run AS item
    WHERE item.reevaluation_id = reevaluation.id AND item.run_id = run.id)
  AND (reevaluation.dry_run OR NOT EXISTS (SELECT FROM evaluation WHERE evaluation.id = run.current_evaluation_id
    AND (evaluation.protocol_version > reevaluation.protocol_version
      OR (evaluation.protocol_version = reevaluation.protocol_version
        AND evaluation.computation_version = reevaluation.computation_version))))`;
