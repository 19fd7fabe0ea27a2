import { Injectable } from "@nestjs/common";
import { Prisma } from "../../../generated/prisma/client.js";
import { ADVISORY_LOCKS } from "../../../platform/database/advisory-locks.js";
import type { Transaction } from "../../../platform/database/database.js";
import { addingJob, LAST_TURN } from "../../../platform/queue/add-job.js";
import type { Lane } from "../../../platform/queue/lanes.js";
import { EVALUATE_RUN } from "../jobs.js";

/** When the lowest turn of all runs that wait has come this far, all of them are counted from 0 again. */
const COUNT_ANEW_FROM = 10_000;

const keyOf = (runId: string): string => `${EVALUATE_RUN}:${runId}`;

/**
 * Queues evaluations fairly between testers: start-time fair queueing (Goyal, Vin and Cheng, 1996) with equal shares and equal costs. A tester's next
 * run has the turn after their last one that is not evaluated yet, and no turn before the lowest of all that are not. Runs with long logs and the others have
 * turns apart from each other.
 */
@Injectable()
export class EvaluationTurnsRepository {
  /**
   * Makes the transaction the only one that gives turns, until it ends. Before any lock of a run: where the turns of all runs that wait have come far, these
   * are counted from 0 again, and locked for that.
   */
  async hold(tx: Transaction): Promise<void> {
    const passed = await tx.$queryRaw<{ longLog: boolean; lowest: number }[]>`
      SELECT long_log AS "longLog", lowest FROM hold_turns(${ADVISORY_LOCKS.giveTurns}::bigint, ${COUNT_ANEW_FROM}::int)`;
    for (const { longLog, lowest } of passed) await this.countAnew(tx, longLog, lowest);
  }

  /** Queues the evaluation of a run at its tester's next turn; turns are held. */
  async queue(tx: Transaction, runId: string): Promise<void> {
    const job = addingJob(EVALUATE_RUN, { runId }, keyOf(runId), {
      turn: Prisma.sql`turn::int`,
      lane: Prisma.sql`CASE WHEN long_log THEN ${"long" satisfies Lane} END`,
    });
    const queued = await tx.$queryRaw<object[]>`
      WITH given AS (UPDATE run SET evaluation_turn = least(found.turn, ${LAST_TURN}::int)
      FROM (
        SELECT queued.id, greatest(lowest, coalesce(own_last + 1, 0))::int AS turn
        FROM run AS queued,
          LATERAL (
            SELECT coalesce(min(evaluation_turn), 0)::int AS lowest FROM run
            WHERE state IN ('queued', 'processing') AND long_log = queued.long_log AND id <> queued.id
          ) AS all_runs,
          LATERAL (
            SELECT max(evaluation_turn) AS own_last FROM run
            WHERE state IN ('queued', 'processing') AND long_log = queued.long_log AND id <> queued.id AND tester_id = queued.tester_id
          ) AS own_runs
        WHERE queued.id = ${runId}::uuid
      ) AS found
      WHERE run.id = found.id RETURNING run.long_log, run.evaluation_turn AS turn)
      SELECT ${job} FROM given`;
    if (queued.length === 0) throw new Error(`there is no run ${runId} to queue`);
  }

  /** Takes the turns that have passed off all runs that are not evaluated yet, and off their jobs. */
  private async countAnew(tx: Transaction, longLog: boolean, passed: number): Promise<void> {
    await tx.$queryRaw`
      WITH pending AS (
        SELECT id FROM run WHERE state IN ('queued', 'processing') AND long_log = ${longLog} ORDER BY id FOR UPDATE
      ), moved AS (
        UPDATE run SET evaluation_turn = greatest(evaluation_turn - ${passed}::int, 0)
        FROM pending WHERE run.id = pending.id RETURNING run.id, run.evaluation_turn
      )
      SELECT count(*) FROM (
        SELECT graphile_worker.reschedule_jobs(array_agg(job.id), priority => moved.evaluation_turn::int)
        FROM moved JOIN graphile_worker.jobs AS job ON job.key = ${keyOf("")} || moved.id::text
        GROUP BY moved.evaluation_turn
      ) AS rescheduled`;
  }
}
