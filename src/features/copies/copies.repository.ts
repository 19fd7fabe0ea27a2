import { Injectable } from "@nestjs/common";
import type { Agreement } from "../../core/copies/alignment.js";
import { COPY_METHOD } from "../../core/copies/evidence.js";
import { type CopyHashes, KIND_SHIFT } from "../../core/copies/hashes.js";
import { MIN_SHARED_HASHES } from "../../core/copies/shared-lags.js";
import type { Prisma } from "../../generated/prisma/client.js";
import { Database, type Transaction } from "../../platform/database/database.js";
import { Notifications } from "../../platform/notifications/notifications.js";
import { addJob, addJobs } from "../../platform/queue/add-job.js";
import { AUTO_ACCEPT_RUN, CHECK_COPIES } from "../runs/runs.service.js";

/** Most runs that one is compared with. */
const MAX_CANDIDATES = 40;
/**
 * An indexed hash is one number, all of which the index holds: 29 bits of the hash, 24 of the run's number, 11 of the offset. Offsets
 * 2,048 points apart coincide; the comparison tells them apart.
 */
const RUN_BITS = 24;
const OFFSET_BITS = 11;
const LAST_OFFSET = 2 ** OFFSET_BITS - 1;
/** Points that count as one lag; bins of them overlap by half. */
const LAG_POINTS = 4;

const OF_OTHER = {
  select: { id: true, testerId: true, specimenId: true, review: true, specimen: { select: { packId: true } } },
} as const;
const WITH_RUNS = { earlier: OF_OTHER, later: OF_OTHER } satisfies Prisma.CopyMatchInclude;
export type MatchRow = Prisma.CopyMatchGetPayload<{ include: typeof WITH_RUNS }>;

/** The topic of what is told when a run was compared. */
export const comparisonOf = (runId: string): string => `${runId}/compared`;

@Injectable()
export class CopiesRepository {
  constructor(
    private readonly database: Database,
    private readonly notifications: Notifications,
  ) {}

  /** Queues the comparison of every evaluated run that was not compared yet, or by another method. */
  async queueMissing(): Promise<void> {
    const runs = await this.database.$queryRaw<{ id: string }[]>`
      SELECT run.id::text FROM run LEFT JOIN copy_fingerprint ON copy_fingerprint.run_id = run.id
      WHERE run.state = 'processed'
        AND (copy_fingerprint.checked_at IS NULL OR copy_fingerprint.method <> ${COPY_METHOD}) ORDER BY run.id`;
    await addJobs(
      this.database,
      CHECK_COPIES,
      runs.map(({ id }) => ({ payload: { runId: id }, key: `${CHECK_COPIES}:${id}` })),
      "background",
    );
  }

  /** The trace of a run as it is evaluated now; null when it is not. */
  async traceOf(runId: string) {
    const select = { currentEvaluation: { select: { trace: { select: { encoding: true, data: true } } } } } as const;
    const run = await this.database.run.findUnique({ where: { id: runId }, select });
    return run?.currentEvaluation?.trace ?? null;
  }

  /** Indexes the hashes of a run, once for each method, under the number that stands for the run among them. */
  async index(runId: string, { hashes, offsets }: CopyHashes): Promise<number> {
    return this.database.$transaction(async (tx) => {
      const [made] = await tx.$queryRaw<{ number: number }[]>`
        INSERT INTO copy_fingerprint (run_id, method) VALUES (${runId}::uuid, ${COPY_METHOD})
        ON CONFLICT (run_id) DO UPDATE SET number = DEFAULT, method = EXCLUDED.method, checked_at = NULL
          WHERE copy_fingerprint.method <> EXCLUDED.method
        RETURNING number`;
      if (!made) return (await tx.copyFingerprint.findUniqueOrThrow({ where: { runId } })).number;
      await tx.$executeRaw`
        INSERT INTO copy_hash (entry)
        SELECT (hash::bigint << ${RUN_BITS + OFFSET_BITS}::int) | (${made.number}::bigint << ${OFFSET_BITS}::int) | ("offset" & ${LAST_OFFSET}::int)
        FROM unnest(${[...hashes]}::int[], ${[...offsets]}::int[]) AS indexed (hash, "offset")
        ON CONFLICT DO NOTHING`;
      return made.number;
    });
  }

  /**
   * The runs that share at least two of the query hashes at one lag, those that share most first. Every hash is looked up in the
   * index, whatever the planner expects of a range (hence OFFSET): the cost grows with the number of query hashes and, by chance
   * agreements, slowly with the record.
   */
  async candidates(number: number, { hashes, offsets }: CopyHashes): Promise<string[]> {
    const shift = RUN_BITS + OFFSET_BITS;
    return this.database.$transaction(async (tx) => {
      await tx.$executeRaw`SELECT set_config(name, 'off', true) FROM (VALUES ('enable_seqscan'), ('enable_bitmapscan'), ('jit')) AS never (name)`;
      const rows = await tx.$queryRaw<{ runId: string }[]>`
        WITH query AS MATERIALIZED (
          SELECT hash, "offset", hash::bigint << ${shift}::int AS first FROM unnest(${[...hashes]}::int[], ${[...offsets]}::int[]) AS query (hash, "offset")
          ORDER BY first
        ), hit AS (
          SELECT ((entry >> ${OFFSET_BITS}::int) & ${2 ** RUN_BITS - 1}::int)::int AS number, hash >> ${KIND_SHIFT}::int AS kind, entry,
            ((entry - "offset") & ${LAST_OFFSET}::int)::int AS lag
          FROM query CROSS JOIN LATERAL (
            SELECT entry FROM copy_hash WHERE entry BETWEEN first AND first | ${2 ** shift - 1}::bigint OFFSET 0
          ) AS indexed
        ), lag AS (
          SELECT number, count(DISTINCT entry) AS hashes
          FROM hit CROSS JOIN (VALUES (0), (${LAG_POINTS / 2}::int)) AS bin (shift)
          WHERE number <> ${number}::int
          GROUP BY number, kind, bin.shift, (lag + bin.shift) / ${LAG_POINTS}::int HAVING count(DISTINCT entry) >= ${MIN_SHARED_HASHES}::int
        )
        SELECT copy_fingerprint.run_id::text AS "runId" FROM lag JOIN copy_fingerprint USING (number)
        GROUP BY copy_fingerprint.run_id ORDER BY max(lag.hashes) DESC, copy_fingerprint.run_id LIMIT ${MAX_CANDIDATES}::int`;
      return rows.map(({ runId }) => runId);
    });
  }

  /** Notes what was found for a run, and that it was compared, and tells who waits for that. What was found before stays. */
  async store(runId: string, found: readonly { runId: string; agreements: readonly Agreement[] }[]): Promise<void> {
    const data = found.map(({ runId: otherId, agreements }) => ({
      earlierRunId: runId < otherId ? runId : otherId,
      laterRunId: runId < otherId ? otherId : runId,
      method: COPY_METHOD,
      agreements: agreements as unknown as Prisma.InputJsonArray,
    }));
    await this.database.$transaction(async (tx) => {
      await tx.copyMatch.createMany({ data, skipDuplicates: true });
      await tx.copyFingerprint.update({ where: { runId }, data: { checkedAt: new Date() }, select: { runId: true } });
      await this.notifications.publish(tx, comparisonOf(runId), {});
    });
  }

  /** Queues what follows a comparison; a comparison that is not known to have ended is done again. */
  queueAutoAccept(runId: string): Promise<void> {
    return addJob(this.database, AUTO_ACCEPT_RUN, { runId }, `${AUTO_ACCEPT_RUN}:${runId}`, "background");
  }

  /** When a run was compared with all others; null when it was not yet by this method. */
  async checkedAt(runId: string, tx: Transaction = this.database): Promise<Date | null> {
    return (await tx.copyFingerprint.findFirst({ where: { runId, method: COPY_METHOD } }))?.checkedAt ?? null;
  }

  /** All pairs that a run is one of, the first found first. */
  matches(runId: string, tx: Transaction = this.database): Promise<MatchRow[]> {
    const where = { OR: [{ earlierRunId: runId }, { laterRunId: runId }] };
    return tx.copyMatch.findMany({
      where,
      include: WITH_RUNS,
      orderBy: [{ foundAt: "asc" }, { earlierRunId: "asc" }, { laterRunId: "asc" }],
    });
  }

  /** The runs that a moderator judged to be independent of this one, when deciding on it or on them. */
  async judgedIndependent(runId: string, tx: Transaction = this.database): Promise<Set<string>> {
    const rows = await tx.$queryRaw<{ id: string }[]>`
      SELECT unnest(independent_of)::text AS id FROM review WHERE run_id = ${runId}::uuid
      UNION
      SELECT review.run_id::text FROM copy_match
      JOIN review ON review.run_id = CASE WHEN earlier_run_id = ${runId}::uuid THEN later_run_id ELSE earlier_run_id END
      WHERE ${runId}::uuid IN (earlier_run_id, later_run_id) AND ${runId}::uuid = ANY (review.independent_of)`;
    return new Set(rows.map(({ id }) => id));
  }
}
