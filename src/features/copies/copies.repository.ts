import { Injectable } from "@nestjs/common";
import type { Agreement } from "../../core/copies/alignment.js";
import { COPY_METHOD } from "../../core/copies/evidence.js";
import { type CopyWords, KIND_SHIFT } from "../../core/copies/words.js";
import type { Prisma } from "../../generated/prisma/client.js";
import { Database, type Transaction } from "../../platform/database/database.js";
import { addJob, addJobs } from "../../platform/queue/add-job.js";
import { CHECK_COPIES, CONSIDER_RUN } from "../runs/runs.service.js";

/** Words of another run that stand at like places: so many, at such a lag. */
export interface CandidateRow {
  readonly runId: string;
  readonly kind: number;
  /** Place in the other run less the place in this one, points of the kind. */
  readonly lagPoints: number;
  readonly words: number;
}

/** Words at one lag from which on another run is compared, and most that are. */
const LEAST_WORDS = 3;
const MOST_CANDIDATES = 40;
/** Points that count as one lag. */
export const LAG_POINTS = 3;

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
        INSERT INTO copy_word (word, print, place)
        SELECT word, ${made.number}::int, place FROM unnest(${[...words]}::int[], ${[...places]}::int[]) AS kept (word, place)
        ON CONFLICT DO NOTHING`;
      return made.number;
    });
  }

  /**
   * The runs that keep most of the sought words at one lag. Every word is looked up in the index: the cost grows with the words
   * sought and, by about one coincidence per 150,000 words kept, with the record.
   */
  async candidates(number: number, { words, places }: CopyWords): Promise<CandidateRow[]> {
    const client = await this.database.pool.connect();
    try {
      await client.query("BEGIN READ ONLY");
      await client.query(
        "SET LOCAL enable_hashjoin = off; SET LOCAL enable_mergejoin = off; SET LOCAL work_mem = '64MB'",
      );
      const { rows } = await client.query<CandidateRow>(
        `WITH sought AS (SELECT word, place FROM unnest($1::int[], $2::int[]) AS sought (word, place) ORDER BY word),
           hit AS (
             SELECT DISTINCT kept.print, kept.word, kept.place, round((kept.place - sought.place) / $4::numeric)::int AS bin
             FROM sought JOIN copy_word AS kept ON kept.word = sought.word WHERE kept.print <> $3
           ),
           lag AS (
             SELECT print, word >> $5 AS kind, bin, count(*)::int AS words FROM hit GROUP BY print, kind, bin HAVING count(*) >= $6
           )
         SELECT copy_print.run_id::text AS "runId", lag.kind, lag.bin * $4 AS "lagPoints", lag.words
         FROM lag JOIN copy_print ON copy_print.number = lag.print
         ORDER BY lag.words DESC, copy_print.run_id, lag.kind, lag.bin LIMIT $7`,
        [[...words], [...places], number, LAG_POINTS, KIND_SHIFT, LEAST_WORDS, MOST_CANDIDATES],
      );
      await client.query("COMMIT");
      client.release();
      return rows;
    } catch (error) {
      client.release(true);
      throw error;
    }
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

  async checkedAt(runId: string, tx: Transaction = this.database): Promise<Date | null> {
    return (await tx.copyPrint.findUnique({ where: { runId } }))?.checkedAt ?? null;
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
