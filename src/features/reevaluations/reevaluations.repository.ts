import { Injectable } from "@nestjs/common";
import type { ProtocolDocument } from "../../core/protocol/index.js";
import { Prisma } from "../../generated/prisma/client.js";
import { AuditLog } from "../../platform/audit-log/audit-log.js";
import { Database, type Transaction } from "../../platform/database/database.js";
import { byId } from "../../platform/paging/by-id.js";
import type { Window } from "../../platform/paging/page.js";
import { addJob, addJobs } from "../../platform/queue/add-job.js";
import { CHECK_COPIES } from "../runs/runs.service.js";
import type { Effects, RunOutcome } from "./effects.js";

export const REEVALUATE_RUN = "reevaluate-run";
export const FINISH_REEVALUATION = "finish-reevaluation";

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

/** How one run fared, and whose it is. */
export type KeptOutcome = RunOutcome & { readonly testerId: string; readonly evaluationId: string | null };

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

  /** Queues the runs of the protocol that it lacks, which are not evaluated under its target, or else its end. */
  async addRuns(tx: Transaction, id: string): Promise<void> {
    const added = await tx.$queryRaw<{ runId: string }[]>`
      INSERT INTO reevaluation_run (reevaluation_id, run_id, failed_rules)
      SELECT reevaluation.id, run.id, '{}' FROM reevaluation JOIN run ON run.protocol_key = reevaluation.protocol_key
      WHERE reevaluation.id = ${id}::uuid AND ${REMAINING}
      ORDER BY run.id
      RETURNING run_id::text AS "runId"`;
    if (added.length === 0) return this.queueFinish(tx, id);
    await tx.reevaluation.update({ where: { id }, data: { total: { increment: added.length } } });
    const runIds = added.map(({ runId }) => runId);
    return this.queueRuns(tx, id, runIds);
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

  async isPending(id: string, runId: string): Promise<boolean> {
    const where = { reevaluationId: id, runId, outcome: "pending", reevaluation: { state: "evaluating" } };
    return (await this.database.reevaluationRun.count({ where })) > 0;
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
      SELECT FROM run WHERE id IN (SELECT run_id FROM reevaluation_run WHERE reevaluation_id = ${id}::uuid)
      ORDER BY id FOR UPDATE`;
  }

  /** How its runs fared beside what holds now; withdrawn ones are left out. */
  outcomes(id: string, tx: Transaction = this.database): Promise<KeptOutcome[]> {
    return tx.$queryRaw`
      SELECT run.id::text AS "runId", run.tester_id::text AS "testerId", run.review_state AS review,
        evaluation.verdict AS "from", item.verdict AS "to", item.failed_rules AS "failedRules", item.evaluation_id::text AS "evaluationId"
      FROM reevaluation_run AS item
      JOIN run ON run.id = item.run_id
      JOIN evaluation ON evaluation.id = run.current_evaluation_id
      WHERE item.reevaluation_id = ${id}::uuid AND item.outcome IN ('evaluated', 'failed') AND run.review_state <> 'withdrawn'
      ORDER BY run.id`;
  }

  /** Makes the evaluations of some of its runs their current ones; those that nobody has decided on are compared with all others anew. */
  async makeCurrent(tx: Transaction, id: string, runIds: readonly string[]): Promise<void> {
    const made = await tx.$queryRaw<{ runId: string; review: string }[]>`
      UPDATE run SET current_evaluation_id = item.evaluation_id FROM reevaluation_run AS item
      WHERE item.reevaluation_id = ${id}::uuid AND item.run_id = run.id AND item.evaluation_id IS NOT NULL
        AND run.id = ANY(${[...runIds]}::uuid[])
      RETURNING run.id::text AS "runId", run.review_state AS review`;
    const undecided = made.filter(({ review }) => review === "pending" || review === "info-requested");
    const jobs = undecided.map(({ runId }) => ({ payload: { runId }, key: `${CHECK_COPIES}:${runId}` }));
    await addJobs(tx, CHECK_COPIES, jobs, "background");
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
    await tx.$executeRaw`
      UPDATE reevaluation_run SET result = NULL WHERE reevaluation_id = ${id}::uuid AND result IS NOT NULL`;
  }
}

/** A dry run takes every evaluated run; a real one those that are not evaluated under its target, or a newer version, yet. */
const REMAINING = Prisma.sql`run.state = 'processed' AND run.review_state <> 'withdrawn'
  AND NOT EXISTS (SELECT FROM reevaluation_run AS item
    WHERE item.reevaluation_id = reevaluation.id AND item.run_id = run.id)
  AND (reevaluation.dry_run OR NOT EXISTS (SELECT FROM evaluation WHERE evaluation.id = run.current_evaluation_id
    AND (evaluation.protocol_version > reevaluation.protocol_version
      OR (evaluation.protocol_version = reevaluation.protocol_version
        AND evaluation.computation_version = reevaluation.computation_version))))`;
