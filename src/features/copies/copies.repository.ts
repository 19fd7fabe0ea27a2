import { Injectable } from "@nestjs/common";
import type { Agreement } from "../../core/copies/alignment.js";
import { COPY_METHOD } from "../../core/copies/evidence.js";
import { LEAST_SHARED_WORDS } from "../../core/copies/shared-lags.js";
import { type CopyWords, KIND_SHIFT } from "../../core/copies/words.js";
import type { Prisma } from "../../generated/prisma/client.js";
import { Database, type Transaction } from "../../platform/database/database.js";
import { addJob, addJobs } from "../../platform/queue/add-job.js";
import { CHECK_COPIES, CONSIDER_RUN } from "../runs/runs.service.js";

/** Most runs that one is compared with. */
const MOST_CANDIDATES = 40;
/**
 * A kept word is one number, which its index holds whole: 29 bits of the word, 24 of the run's number, 11 of the place. Places further
 * apart than 2,048 points fall together; the comparison tells them apart.
 */
const RUN_BITS = 24;
const PLACE_BITS = 11;
const LAST_PLACE = 2 ** PLACE_BITS - 1;
/** Points that count as one lag; bins of them overlap by half. */
const LAG_POINTS = 4;

const OF_OTHER = {
  select: { id: true, testerId: true, specimenId: true, review: true, specimen: { select: { packId: true } } },
} as const;
const WITH_RUNS = { earlier: OF_OTHER, later: OF_OTHER } satisfies Prisma.CopyMatchInclude;
export type MatchRow = Prisma.CopyMatchGetPayload<{ include: typeof WITH_RUNS }>;

@Injectable()
export class CopiesRepository {
  constructor(private readonly database: Database) {}

  /** Queues the comparison of every evaluated run that was not compared yet, or by another method. */
  async queueMissing(): Promise<void> {
    const runs = await this.database.$queryRaw<{ id: string }[]>`
      SELECT run.id::text FROM run LEFT JOIN copy_print ON copy_print.run_id = run.id
      WHERE run.state = 'processed'
        AND (copy_print.checked_at IS NULL OR copy_print.method <> ${COPY_METHOD}) ORDER BY run.id`;
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

  /** Keeps the words of a run, once for each method; its number stands for it among them. */
  async keep(runId: string, { words, places }: CopyWords): Promise<number> {
    return this.database.$transaction(async (tx) => {
      const [made] = await tx.$queryRaw<{ number: number }[]>`
        INSERT INTO copy_print (run_id, method) VALUES (${runId}::uuid, ${COPY_METHOD})
        ON CONFLICT (run_id) DO UPDATE SET number = DEFAULT, method = EXCLUDED.method, checked_at = NULL
          WHERE copy_print.method <> EXCLUDED.method
        RETURNING number`;
      if (!made) return (await tx.copyPrint.findUniqueOrThrow({ where: { runId } })).number;
      await tx.$executeRaw`
        INSERT INTO copy_word (entry)
        SELECT (word::bigint << ${RUN_BITS + PLACE_BITS}::int) | (${made.number}::bigint << ${PLACE_BITS}::int) | (place & ${LAST_PLACE}::int)
        FROM unnest(${[...words]}::int[], ${[...places]}::int[]) AS kept (word, place)
        ON CONFLICT DO NOTHING`;
      return made.number;
    });
  }

  /**
   * The runs that keep at least two of the sought words at one lag, those that keep most first. Every word is looked up in the
   * index, whatever the planner expects of a range (hence OFFSET): the cost grows with the words sought and, by chance agreements, slowly with the record.
   */
  async candidates(number: number, { words, places }: CopyWords): Promise<string[]> {
    const shift = RUN_BITS + PLACE_BITS;
    return this.database.$transaction(async (tx) => {
      await tx.$executeRaw`SELECT set_config(name, 'off', true) FROM (VALUES ('enable_seqscan'), ('enable_bitmapscan'), ('jit')) AS never (name)`;
      const rows = await tx.$queryRaw<{ runId: string }[]>`
        WITH sought AS MATERIALIZED (
          SELECT word, place, word::bigint << ${shift}::int AS first FROM unnest(${[...words]}::int[], ${[...places]}::int[]) AS sought (word, place)
          ORDER BY first
        ), hit AS (
          SELECT ((entry >> ${PLACE_BITS}::int) & ${2 ** RUN_BITS - 1}::int)::int AS number, word >> ${KIND_SHIFT}::int AS kind, entry,
            ((entry - place) & ${LAST_PLACE}::int)::int AS lag
          FROM sought CROSS JOIN LATERAL (
            SELECT entry FROM copy_word WHERE entry BETWEEN first AND first | ${2 ** shift - 1}::bigint OFFSET 0
          ) AS kept
        ), lag AS (
          SELECT number, count(DISTINCT entry) AS words
          FROM hit CROSS JOIN (VALUES (0), (${LAG_POINTS / 2}::int)) AS bin (shift)
          WHERE number <> ${number}::int
          GROUP BY number, kind, bin.shift, (lag + bin.shift) / ${LAG_POINTS}::int HAVING count(DISTINCT entry) >= ${LEAST_SHARED_WORDS}::int
        )
        SELECT copy_print.run_id::text AS "runId" FROM lag JOIN copy_print USING (number)
        GROUP BY copy_print.run_id ORDER BY max(lag.words) DESC, copy_print.run_id LIMIT ${MOST_CANDIDATES}::int`;
      return rows.map(({ runId }) => runId);
    });
  }

  /** Notes what was found for a run, and that it was compared. What was found before stays. */
  async store(runId: string, found: readonly { runId: string; agreements: readonly Agreement[] }[]): Promise<void> {
    const data = found.map(({ runId: otherId, agreements }) => ({
      earlierRunId: runId < otherId ? runId : otherId,
      laterRunId: runId < otherId ? otherId : runId,
      method: COPY_METHOD,
      agreements: agreements as unknown as Prisma.InputJsonArray,
    }));
    await this.database.$transaction([
      this.database.copyMatch.createMany({ data, skipDuplicates: true }),
      this.database.copyPrint.update({ where: { runId }, data: { checkedAt: new Date() } }),
    ]);
  }

  /** Queues what follows a comparison; a comparison that is not known to have ended is done again. */
  queueConsideration(runId: string): Promise<void> {
    return addJob(this.database, CONSIDER_RUN, { runId }, `${CONSIDER_RUN}:${runId}`, "background");
  }

  /** When a run was compared with all others; null when it was not yet by this method. */
  async checkedAt(runId: string, tx: Transaction = this.database): Promise<Date | null> {
    return (await tx.copyPrint.findFirst({ where: { runId, method: COPY_METHOD } }))?.checkedAt ?? null;
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

  /** The runs of which a moderator judged this one to be independent. */
  async judgedIndependent(runId: string, tx: Transaction = this.database): Promise<Set<string>> {
    const reviews = await tx.review.findMany({ where: { runId }, select: { independentOf: true } });
    return new Set(reviews.flatMap(({ independentOf }) => independentOf));
  }
}
