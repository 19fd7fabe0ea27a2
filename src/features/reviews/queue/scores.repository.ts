import { Injectable } from "@nestjs/common";
import { Prisma } from "../../../generated/prisma/client.js";
import { ADVISORY_LOCKS } from "../../../platform/database/advisory-locks.js";
import { Database, type Transaction } from "../../../platform/database/database.js";
import { addJob } from "../../../platform/queue/add-job.js";
import { risks } from "./risk.repository.js";

/** The task that scores what has changed in the moderators' queue, and the key of its job: one waits at a time. */
export const SCORE_QUEUE = "score-queue";
/** The topic under which the database tells that something has changed that scores rest on. */
export const SCORE_DUE = "score-due";

/** How much is done at once. */
export interface Lot {
  /** Changes that are looked at. */
  readonly changes: number;
  /** Waiting runs that are marked as stale for each of them. */
  readonly marked: number;
  /** Stale runs that are scored. */
  readonly scored: number;
}

interface Due {
  readonly kind: string;
  readonly subjectId: string | null;
  readonly protocolKey: string | null;
  readonly chemistry: string | null;
  readonly series: number | null;
  readonly afterRunId: string | null;
}

/**
 * Keeps stored scores in step with the record. No transaction writes a row twice: at the second time PostgreSQL locks the row's run, since the
 * transaction's own version of the row has not been held against its foreign key, and who decides on that run waits for the row.
 */
@Injectable()
export class ScoresRepository {
  constructor(private readonly database: Database) {}

  /** Whether anything is left to mark or to score. */
  async isLeft(): Promise<boolean> {
    const [row] = await this.database.$queryRaw<{ left: boolean }[]>`
      SELECT EXISTS (SELECT FROM review_score_due) OR EXISTS (SELECT FROM review_score WHERE stale) AS left`;
    return row?.left === true;
  }

  /**
   * Marks waiting runs that changes are about, then scores stale ones, some of both. One process at a time does either. Scoring sees the changes
   * whose runs are marked as they were committed, so a score rests on them; what is committed later is another change.
   *
   * @returns whether there was anything to do: not where another process is at it and `wait` is not set, nor where a transaction holds what is left
   */
  async scoreSome(lot: Lot, { wait }: { readonly wait: boolean }): Promise<boolean> {
    const changes = await this.alone(wait, (tx) => markSome(tx, lot));
    const scored = await this.alone(wait, (tx) => scoreStale(tx, lot.scored));
    return changes + scored > 0;
  }

  /** Queues a job where anything is left that no waiting job would do: one that has begun may have looked for the last time. */
  async queueWhereLeft(): Promise<void> {
    const [row] = await this.database.$queryRaw<{ needed: boolean }[]>`
      SELECT NOT EXISTS (SELECT FROM graphile_worker.jobs WHERE key = ${SCORE_QUEUE} AND locked_at IS NULL AND attempts < max_attempts) AS needed`;
    if (row?.needed && (await this.isLeft())) await this.queue();
  }

  /** Queues one job, in the place of one that waits. */
  queue(): Promise<void> {
    return addJob(this.database, SCORE_QUEUE, {}, SCORE_QUEUE, "follow-up");
  }

  /** Does something in a transaction while no other process does; 0 where one does and is not waited for. */
  private alone(wait: boolean, work: (tx: Transaction) => Promise<number>): Promise<number> {
    return this.database.$transaction(async (tx) => ((await lock(tx, wait)) ? work(tx) : 0));
  }
}

/** Returns how many different changes were looked at. */
async function markSome(tx: Transaction, { changes, marked }: Lot): Promise<number> {
  const dues = await tx.$queryRaw<Due[]>`
    WITH taken AS (DELETE FROM review_score_due WHERE id IN (SELECT id FROM review_score_due ORDER BY id LIMIT ${changes})
      RETURNING kind, subject_id, protocol_key, chemistry, series, after_run_id)
    SELECT DISTINCT kind, subject_id::text AS "subjectId", protocol_key AS "protocolKey", chemistry, series, after_run_id::text AS "afterRunId"
    FROM taken`;
  const subjectsOf = (...kinds: string[]) =>
    dues.flatMap(({ kind, subjectId }) => (subjectId !== null && kinds.includes(kind) ? [subjectId] : []));
  const behind: string[] = [];
  for (const due of dues) {
    if (due.kind !== "run" && due.kind !== "twins") behind.push(...(await waitingBehind(tx, due, marked)));
  }
  const [runs, twins] = [[...new Set([...subjectsOf("run"), ...behind])], subjectsOf("twins")];
  if (runs.length + twins.length > 0) {
    // A row is written whether it is stale or not.
    await tx.$executeRaw`
      WITH waiting AS (SELECT run_id FROM review_score WHERE run_id = ANY (${runs}::uuid[]) OR run_id = ANY (ARRAY(
          SELECT twin.id FROM run AS own JOIN run AS twin USING (log_sha256) WHERE own.id = ANY (${twins}::uuid[]) AND twin.id <> own.id))
        ORDER BY run_id FOR UPDATE)
      UPDATE review_score SET stale = true FROM waiting WHERE review_score.run_id = waiting.run_id`;
  }
  return dues.length;
}

async function lock(tx: Transaction, wait: boolean): Promise<boolean> {
  const key = ADVISORY_LOCKS.scoreQueue;
  if (wait) {
    await tx.$executeRaw`SELECT pg_advisory_xact_lock(${key}::bigint)`;
    return true;
  }
  const [row] = await tx.$queryRaw<{ locked: boolean }[]>`SELECT pg_try_advisory_xact_lock(${key}::bigint) AS locked`;
  return row?.locked === true;
}

/** Some of the waiting runs that a change is about; the others are due in its place. */
async function waitingBehind(tx: Transaction, due: Due, most: number): Promise<string[]> {
  const { kind, subjectId, protocolKey, chemistry, series, afterRunId } = due;
  const about = {
    pack: Prisma.sql`pack_id = ${subjectId}::uuid`,
    tester: Prisma.sql`tester_id = ${subjectId}::uuid`,
    class: Prisma.sql`protocol_key = ${protocolKey} AND chemistry = ${chemistry} AND series = ${series}::int`,
    protocol: Prisma.sql`protocol_key = ${protocolKey}`,
  }[kind];
  const isBehind = afterRunId === null ? Prisma.sql`true` : Prisma.sql`run_id > ${afterRunId}::uuid`;
  if (!about) throw new Error(`nothing is known of changes of the kind ${kind}`);
  const rows = await tx.$queryRaw<{ id: string }[]>`
    SELECT run_id::text AS id FROM review_score WHERE ${about} AND ${isBehind} ORDER BY run_id LIMIT ${most}`;
  const ids = rows.map(({ id }) => id);
  if (ids.length === most) {
    await tx.$executeRaw`
      INSERT INTO review_score_due (kind, subject_id, protocol_key, chemistry, series, after_run_id)
      VALUES (${kind}, ${subjectId}::uuid, ${protocolKey}, ${chemistry}, ${series}::int, ${ids.at(-1)}::uuid)`;
  }
  return ids;
}

/** Returns how many runs were scored. */
async function scoreStale(tx: Transaction, most: number): Promise<number> {
  const stale = await tx.$queryRaw<{ id: string }[]>`
    SELECT run_id::text AS id FROM review_score WHERE stale ORDER BY run_id LIMIT ${most} FOR UPDATE SKIP LOCKED`;
  const runIds = stale.map(({ id }) => id);
  if (runIds.length > 0) await score(tx, runIds);
  return stale.length;
}

async function score(tx: Transaction, runIds: readonly string[]): Promise<void> {
  await tx.$executeRaw`
    UPDATE review_score SET negated_score = -found.score, parts = to_jsonb(found) - '{runId,score}'::text[],
      judged_evaluation_id = run.current_evaluation_id, stale = false
    FROM (${risks(Prisma.sql`run.id = ANY (${[...runIds]}::uuid[])`)}) AS found JOIN run ON run.id = found."runId"::uuid
    WHERE review_score.run_id = run.id`;
}
