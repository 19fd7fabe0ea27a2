import { Injectable } from "@nestjs/common";
import type { Agreement } from "../../core/copies/alignment.js";
import { type Candidate, worthComparing } from "../../core/copies/candidates.js";
import { COPY_METHOD } from "../../core/copies/evidence.js";
import { type CopyHashes, KIND_SHIFT } from "../../core/copies/hashes.js";
import { COURSE_LAG_POINTS, MIN_SHARED_HASHES } from "../../core/copies/shared-lags.js";
import { LAST_OFFSET } from "../../core/copies/sorted-hashes.js";
import { BITS, POINTS_PER_UNIT, SCALE_POINTS_PER_BIT } from "../../core/copies/window-shape.js";
import { FIRST_COURSE, FIRST_UNIT } from "../../core/copies/windows.js";
import { Prisma } from "../../generated/prisma/client.js";
import { Database, type Transaction } from "../../platform/database/database.js";
import { integersOf } from "../../platform/database/rows/integer-list.js";
import { Notifications } from "../../platform/notifications/notifications.js";
import { addJob, addJobs } from "../../platform/queue/add-job.js";
import { type NewNotice, NoticeWriter } from "../notices/notice-writer.service.js";
import { AUTO_ACCEPT_RUN, CHECK_COPIES, QUEUE_COMPARISONS } from "../runs/runs.service.js";
import type { EncodedTrace } from "./copies-thread.js";

/**
 * Most runs that the index names for one: of those that stand, of those that are withdrawn and count all the same, and of those that count nowhere.
 * Each have places of their own, since whoever makes many copies and withdraws them would fill all places otherwise, before the one that is to pass.
 */
const MAX_CANDIDATES = 40;
const MAX_WITHDRAWN_CANDIDATES = 20;
const MAX_IDLE_CANDIDATES = 8;
/** More runs than share two hashes with one. */
const ALL_CANDIDATES = 2 ** 31 - 1;
/** Runs of the same pack that one is compared with whatever the index says, as many of each of the first two: of so many, those of nearly the same length. */
const MAX_ALIKE = 6;
const MAX_OF_PACK = 200;
const ALIKE_RUNTIME = 0.05;
/** Runs of which the comparison is queued together: a record holds more than fit into memory. */
const RUNS_QUEUED_AT_ONCE = 1_000;
/** Traces that are read together at most, and bytes of them after which no other is. */
const MAX_TRACES = 8;
const MAX_TRACE_BYTES = 2 ** 22;
/** Points that count as one lag, for samples and for what a load does by itself; bins of them overlap by half. */
const LAG_POINTS = 4;
const COURSE_BIN_POINTS = 2 * COURSE_LAG_POINTS;

const OF_OTHER = {
  select: { id: true, testerId: true, specimenId: true, review: true, specimen: { select: { packId: true } } },
} as const;
const WITH_RUNS = { earlier: OF_OTHER, later: OF_OTHER } satisfies Prisma.CopyMatchInclude;
export type MatchRow = Prisma.CopyMatchGetPayload<{ include: typeof WITH_RUNS }>;

export interface TraceOfRun extends EncodedTrace {
  readonly runId: string;
}

interface RunToCompare extends EncodedTrace {
  /** Ids of runs. */
  readonly alike: readonly string[];
}

const TRACES = `
  SELECT "runId", "evaluationId", encoding, data FROM (
    SELECT run.id::text AS "runId", trace.evaluation_id::text AS "evaluationId", encoding, data, wanted.place,
      sum(octet_length(data)) OVER (ORDER BY wanted.place) - octet_length(data) AS before
    FROM unnest($1::uuid[]) WITH ORDINALITY AS wanted (id, place) JOIN run USING (id)
    JOIN trace ON trace.evaluation_id = run.current_evaluation_id
  ) AS found
  WHERE before <= $3 ORDER BY place LIMIT $2`;

/** No number comes back where another process indexes the same run at this moment. */
const INDEX_HASHES = `
  WITH made AS (
    INSERT INTO copy_fingerprint (run_id, method) VALUES ($1::uuid, $2)
    ON CONFLICT (run_id) DO UPDATE SET method = EXCLUDED.method, checked_at = NULL
      WHERE copy_fingerprint.method <> EXCLUDED.method
    RETURNING number
  ), hashes AS (
    INSERT INTO copy_hash (hash, number, "offset")
    SELECT hash, number, "offset" FROM made CROSS JOIN unnest($3::int[], $4::int[]) AS indexed (hash, "offset")
    ON CONFLICT DO NOTHING
  )
  SELECT number FROM made
  UNION ALL SELECT number FROM copy_fingerprint WHERE run_id = $1::uuid AND NOT EXISTS (SELECT FROM made)`;

const ACCEPTANCE_RULE = "SELECT enabled FROM auto_accept_policy ORDER BY version DESC LIMIT 1";

/** What becomes of a run: it stands, or it was withdrawn and stays in its tester's means, or it counts nowhere. */
const kindOf = (run: string): string => `
  CASE WHEN ${run}.review_state IN ('rejected', 'withdrawn')
    THEN CASE WHEN ${run}.withdrawn_from IS NOT NULL AND ${run}.withdrawal_excused_by_id IS NULL THEN 'withdrawn' ELSE 'idle' END
    ELSE 'standing' END`;

const CANDIDATES = `
  SELECT "runId", "bySamples", "byCourse" FROM (
    SELECT found.run_id::text AS "runId", by_samples AS "bySamples", by_course AS "byCourse", kind,
      row_number() OVER (PARTITION BY kind ORDER BY greatest(by_samples, by_course) DESC, found.run_id) AS place
    FROM copy_candidates_by_evidence($1, $2::int[], $3::int[], $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14) AS found
    LEFT JOIN run ON run.id = found.run_id CROSS JOIN LATERAL (SELECT ${kindOf("run")} AS kind) AS becomes
  ) AS named
  WHERE place <= CASE kind WHEN 'standing' THEN $15::int WHEN 'withdrawn' THEN $16::int ELSE $17::int END
  ORDER BY greatest("bySamples", "byCourse") DESC, "runId"`;

const RUNS_ALIKE = `
  SELECT id FROM (
    SELECT other.id::text, apart, row_number() OVER (PARTITION BY wanted.kind ORDER BY apart, other.id) AS place FROM run
    JOIN specimen ON specimen.id = run.specimen_id
    JOIN figure AS own ON own.evaluation_id = run.current_evaluation_id AND own.key = 'runtime' AND own.load = 0 AND own.value > 0
    CROSS JOIN (VALUES ('standing'), ('withdrawn')) AS wanted (kind)
    CROSS JOIN LATERAL (SELECT one.id, one.current_evaluation_id FROM run AS one
      JOIN specimen AS sibling ON sibling.id = one.specimen_id
      WHERE sibling.pack_id = specimen.pack_id AND one.protocol_key = run.protocol_key AND one.id <> run.id
        AND one.state = 'processed' AND ${kindOf("one")} = wanted.kind ORDER BY one.id DESC LIMIT $2::int) AS other
    JOIN figure AS theirs ON theirs.evaluation_id = other.current_evaluation_id AND theirs.key = 'runtime' AND theirs.load = 0
      AND theirs.value > 0
    CROSS JOIN LATERAL (SELECT abs(ln(theirs.value / own.value)) AS apart) AS lengths
    WHERE run.id = $1::uuid AND apart <= $3::float8
  ) AS alike WHERE place <= $4::int ORDER BY apart, id`;

const RUN_TO_COMPARE = `
  SELECT trace.evaluation_id::text AS "evaluationId", encoding, data, ARRAY(${RUNS_ALIKE}) AS alike
  FROM run JOIN trace ON trace.evaluation_id = run.current_evaluation_id WHERE run.id = $1::uuid`;

/** The topic of what is told when a run was compared. */
export const comparisonOf = (runId: string): string => `${runId}/compared`;

@Injectable()
export class CopiesRepository {
  constructor(
    private readonly database: Database,
    private readonly noticeWriter: NoticeWriter,
  ) {}

  /** Queues a job that queues the comparison of every evaluated run that was not compared yet, or by another method. */
  async queueMissing(): Promise<void> {
    await this.queueMissingAfter(this.database, null);
  }

  /** Queues the comparison of those behind a run, some of them at a time, and the job that goes on behind these. */
  async queueSomeMissing(after: string | null, atOnce: number = RUNS_QUEUED_AT_ONCE): Promise<void> {
    await this.database.$transaction(async (tx) => {
      const runs = await tx.$queryRaw<{ id: string }[]>`
        SELECT run.id::text FROM run LEFT JOIN copy_fingerprint ON copy_fingerprint.run_id = run.id
        WHERE run.state = 'processed' AND (${after}::uuid IS NULL OR run.id > ${after}::uuid)
          AND (copy_fingerprint.checked_at IS NULL OR copy_fingerprint.method <> ${COPY_METHOD})
        ORDER BY run.id LIMIT ${atOnce}`;
      const jobs = runs.map(({ id }) => ({ payload: { runId: id }, key: `${CHECK_COPIES}:${id}` }));
      await addJobs(tx, CHECK_COPIES, jobs, "background");
      const last = runs.at(-1);
      if (runs.length === atOnce && last) await this.queueMissingAfter(tx, last.id);
    });
  }

  private queueMissingAfter(tx: Transaction, after: string | null): Promise<void> {
    return addJob(tx, QUEUE_COMPARISONS, { after }, `${QUEUE_COMPARISONS}:${after ?? "all"}`, "background");
  }

  /**
   * The trace of a run as it is evaluated now, and the newest runs of the same pack under the same protocol that took nearly as long: whoever copies
   * to move a pack's standing copies one of these, and there are few. Null when the run is not evaluated. Each run is evaluated before it is
   * compared, so of two the one that is compared later is alike the other.
   */
  async toCompare(runId: string): Promise<RunToCompare | null> {
    const values = [runId, MAX_OF_PACK, ALIKE_RUNTIME, MAX_ALIKE];
    const [found] = await this.database.prepared<RunToCompare>("run-to-compare", RUN_TO_COMPARE, values);
    return found ?? null;
  }

  /** The traces of runs as they are evaluated now, in their order, a few at a time; those that are not evaluated are left out. */
  async *tracesOf(runIds: readonly string[]): AsyncGenerator<TraceOfRun[]> {
    for (let rest = runIds; rest.length > 0; ) {
      const traces = await this.someTraces(rest);
      const last = traces.at(-1);
      if (!last) return;
      yield traces;
      rest = rest.slice(rest.indexOf(last.runId) + 1);
    }
  }

  /** The first of them, as many as are held in memory together. */
  private someTraces(runIds: readonly string[]): Promise<TraceOfRun[]> {
    return this.database.prepared<TraceOfRun>("traces-to-compare", TRACES, [runIds, MAX_TRACES, MAX_TRACE_BYTES]);
  }

  /**
   * Indexes the hashes of a run, once for each method, under the number that stands for the run among them. Those of an earlier method
   * stay: the comparison tells whether they mean anything.
   */
  async index(runId: string, { hashes, offsets }: CopyHashes): Promise<number> {
    const values = [runId, COPY_METHOD, integersOf(hashes), integersOf(offsets.map((offset) => offset & LAST_OFFSET))];
    const [made] = await this.database.prepared<{ number: number }>("index-hashes", INDEX_HASHES, values);
    return made?.number ?? (await this.database.copyFingerprint.findUniqueOrThrow({ where: { runId } })).number;
  }

  /**
   * The runs that share at least two of the query hashes at one lag and are worth comparing, those first of which that is the least chance; of runs that
   * stand, of withdrawn ones that count, and of others, as many as each have places.
   *
   * @param query in the order of the hashes, as `sortedByHash` gives them
   */
  async candidates(number: number, { hashes, offsets }: CopyHashes): Promise<Candidate[]> {
    const kinds = [KIND_SHIFT, LAST_OFFSET, FIRST_UNIT, FIRST_COURSE, LAG_POINTS, COURSE_BIN_POINTS];
    const shape = [BITS, POINTS_PER_UNIT, SCALE_POINTS_PER_BIT, MIN_SHARED_HASHES, ALL_CANDIDATES];
    const most = [MAX_CANDIDATES, MAX_WITHDRAWN_CANDIDATES, MAX_IDLE_CANDIDATES];
    const values = [number, integersOf(hashes), integersOf(offsets), ...kinds, ...shape, ...most];
    return worthComparing(await this.database.prepared<Candidate>("copy-candidates", CANDIDATES, values));
  }

  /**
   * Notes what was found for a run, and that it was compared, and tells who waits for that, and the testers of what was not
   * known before. What was found before stays.
   */
  async store(runId: string, found: readonly { runId: string; agreements: readonly Agreement[] }[]): Promise<void> {
    const others = found.toSorted((a, b) => (a.runId < b.runId ? -1 : 1));
    const data = others.map(({ runId: otherId, agreements }) => ({
      earlierRunId: runId < otherId ? runId : otherId,
      laterRunId: runId < otherId ? otherId : runId,
      method: COPY_METHOD,
      agreements: agreements as unknown as Prisma.InputJsonArray,
    }));
    const compared = comparedNow(runId);
    if (data.length === 0) {
      await this.database.prepared("run-compared", compared.text, compared.values);
      return;
    }
    const runIds = [runId, ...others.map((other) => other.runId)];
    await this.database.$transaction(async (tx) => {
      await tx.$queryRaw`SELECT FROM run WHERE id = ANY(${runIds}::uuid[]) ORDER BY id FOR KEY SHARE`;
      const added = await tx.copyMatch.createManyAndReturn({ data, skipDuplicates: true, include: WITH_RUNS });
      await this.noticeWriter.tell(tx, added.flatMap(noticesOfMatch));
      await tx.$executeRaw(compared);
    });
  }

  /**
   * Queues what follows a comparison, where the acceptance rule is on; a comparison that is not known to have ended is done again. Whoever
   * puts the rule on queues all runs that wait, of which this one is compared already if that is not seen here.
   */
  async queueAutoAccept(runId: string): Promise<void> {
    const [rule] = await this.database.prepared<{ enabled: boolean }>("acceptance-rule", ACCEPTANCE_RULE, []);
    if (!rule?.enabled) return;
    await addJob(this.database, AUTO_ACCEPT_RUN, { runId }, `${AUTO_ACCEPT_RUN}:${runId}`, "follow-up");
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

/** Notes that a run was compared, and tells who waits for that. */
const comparedNow = (runId: string): Prisma.Sql => Prisma.sql`
  WITH checked AS (UPDATE copy_fingerprint SET checked_at = now() WHERE run_id = ${runId}::uuid)
  SELECT ${Notifications.telling(comparisonOf(runId), {})}`;

/** What testers are told of a pair: of a run that they may see beside their own, and once where both are their own. */
function noticesOfMatch({ earlier, later }: MatchRow): NewNotice[] {
  const mayBeTold = (one: MatchRow["later"], other: MatchRow["later"]) =>
    other.review === "accepted" || one.testerId === other.testerId;
  const about = (one: MatchRow["later"], other: MatchRow["later"]): NewNotice[] =>
    one.review !== "withdrawn" && mayBeTold(one, other)
      ? [{ kind: "copy-found", accountId: one.testerId, subjectId: one.id, facts: { otherRunId: other.id } }]
      : [];
  return earlier.testerId === later.testerId
    ? about(later, earlier)
    : [...about(later, earlier), ...about(earlier, later)];
}
