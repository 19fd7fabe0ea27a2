import { Injectable } from "@nestjs/common";
import { ADVISORY_LOCKS } from "../../../platform/database/advisory-locks.js";
import type { Transaction } from "../../../platform/database/database.js";
import { addJob, LAST_TURN } from "../../../platform/queue/add-job.js";
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
  /** Makes the transaction the only one that gives turns, until it ends. Before any lock of the audit log, after all others. */
  async hold(tx: Transaction): Promise<void> {
    await tx.$executeRaw`SELECT pg_advisory_xact_lock(${ADVISORY_LOCKS.giveTurns}::bigint)`;
  }

  /** Queues the evaluation of a run at its tester's next turn. */
  async queue(tx: Transaction, runId: string): Promise<void> {
    await this.hold(tx);
    const [queued] = await tx.$queryRaw<{ longLog: boolean; lowest: number; turn: number }[]>`
      UPDATE run SET evaluation_turn = least(found.turn - CASE WHEN lowest >= ${COUNT_ANEW_FROM}::int THEN lowest ELSE 0 END, ${LAST_TURN}::int)
      FROM (
        SELECT queued.id, lowest, greatest(lowest, coalesce(own_last + 1, 0))::int AS turn
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
      WHERE run.id = found.id RETURNING run.long_log AS "longLog", lowest, run.evaluation_turn AS turn`;
    if (!queued) throw new Error(`there is no run ${runId} to queue`);
    const { longLog, lowest, turn } = queued;
    if (lowest >= COUNT_ANEW_FROM) await this.countAnew(tx, runId, longLog, lowest);
    await addJob(tx, EVALUATE_RUN, { runId }, keyOf(runId), { turn, lane: longLog ? "long" : null });
  }

  /** Takes the turns that have passed off all other runs that are not evaluated yet, and off their jobs. */
  private async countAnew(tx: Transaction, runId: string, longLog: boolean, passed: number): Promise<void> {
    await tx.$queryRaw`
      WITH pending AS (
        SELECT id FROM run WHERE state IN ('queued', 'processing') AND long_log = ${longLog} AND id <> ${runId}::uuid
        ORDER BY id FOR UPDATE
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
