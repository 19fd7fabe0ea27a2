import { Injectable } from "@nestjs/common";
import type { RunStatus } from "../../../core/lifecycle/run-lifecycle.js";
import { Prisma } from "../../../generated/prisma/client.js";
import { ADVISORY_LOCKS } from "../../../platform/database/advisory-locks.js";
import type { Transaction } from "../../../platform/database/database.js";
import { columnOf, rowText } from "../../../platform/database/rows/insert-rows.js";
import { addingJob, LAST_TURN } from "../../../platform/queue/add-job.js";
import type { Lane } from "../../../platform/queue/lanes.js";
import { EVALUATE_RUN } from "../jobs.js";

/** When the lowest turn of all runs that wait has come this far, all of them are counted from 0 again. */
const COUNT_ANEW_FROM = 10_000;

const keyOf = (runId: string): string => `${EVALUATE_RUN}:${runId}`;

/** The turns of all runs that are not evaluated yet, beside the one that is `queued`, and of its tester's. */
const TURNS = Prisma.sql`
  LATERAL (
    SELECT coalesce(min(evaluation_turn), 0)::int AS lowest FROM run
    WHERE state IN ('queued', 'processing') AND long_log = queued.long_log AND id <> queued.id
  ) AS all_runs,
  LATERAL (
    SELECT max(evaluation_turn) AS own_last FROM run
    WHERE state IN ('queued', 'processing') AND long_log = queued.long_log AND id <> queued.id AND tester_id = queued.tester_id
  ) AS own_runs`;
const NEXT_TURN = Prisma.sql`least(greatest(lowest, coalesce(own_last + 1, 0)), ${LAST_TURN}::int)::smallint`;

/** Queues the evaluation of a run whose turn, and whether its log is long, a statement has found. */
const jobOf = (runId: string): Prisma.Sql =>
  addingJob(EVALUATE_RUN, { runId }, keyOf(runId), {
    turn: Prisma.sql`turn::int`,
    lane: Prisma.sql`CASE WHEN long_log THEN ${"long" satisfies Lane} END`,
  });

/** Members of a run's row, those that its turn depends on among them. */
export type NewQueuedRun = Readonly<Record<string, unknown>> & {
  readonly id: string;
  readonly testerId: string;
  readonly longLog: boolean;
};

/** A run as it is stored at first. */
export interface QueuedRun extends RunStatus {
  readonly id: string;
}

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

  /**
   * Stores a run and queues its evaluation at its tester's next turn; turns are held. Null when the same run is stored already: then nothing is done.
   *
   * @param run a column that it does not name has its default
   * @param alongside what else is selected, as the record was before the run was stored
   */
  async insert<Also extends object>(
    tx: Transaction,
    run: NewQueuedRun,
    alongside: Prisma.Sql,
  ): Promise<(QueuedRun & Also) | null> {
    const columns = Object.keys(run).map((member) => Prisma.raw(`"${columnOf(member)}"`));
    const [made] = await tx.$queryRaw<(QueuedRun & Also)[]>`
      WITH made AS (
        INSERT INTO run (${Prisma.join(columns)}, evaluation_turn)
        SELECT ${Prisma.join(columns)}, ${NEXT_TURN}
        FROM json_populate_record(NULL::run, ${rowText(run)}::json) AS queued, ${TURNS}
        ON CONFLICT DO NOTHING
        RETURNING run.id, run.state, run.review_state, run.appealed, run.long_log, run.evaluation_turn AS turn
      )
      SELECT id::text, state, review_state AS review, appealed, ${jobOf(run.id)} AS job, ${alongside} FROM made`;
    return made ?? null;
  }

  /** Queues the evaluation of a run at its tester's next turn; turns are held. */
  async queue(tx: Transaction, runId: string): Promise<void> {
    const queued = await tx.$queryRaw<object[]>`
      WITH given AS (UPDATE run SET evaluation_turn = found.turn
      FROM (
        SELECT queued.id, ${NEXT_TURN} AS turn FROM run AS queued, ${TURNS} WHERE queued.id = ${runId}::uuid
      ) AS found
      WHERE run.id = found.id RETURNING run.long_log, run.evaluation_turn AS turn)
      SELECT ${jobOf(runId)} FROM given`;
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
