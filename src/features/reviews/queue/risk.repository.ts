import { Injectable } from "@nestjs/common";
import { Prisma } from "../../../generated/prisma/client.js";
import { Database } from "../../../platform/database/database.js";
import { TRIES } from "../../../platform/database/rows/moved-runs.js";
import type { CursorKey } from "../../../platform/paging/cursor.js";
import type { Window } from "../../../platform/paging/page.js";

/** What makes a run worth a closer look, and how much each weighs (common practice, no published source). */
export interface Risk {
  readonly runId: string;
  readonly score: number;
  /** Failed advice, one each up to three. */
  readonly failedAdvice: number;
  /** The very same log came under another tester or pack, or the trace looks like one measurement with another. */
  readonly copied: boolean;
  /** A figure is further from what three testers or more found together than three times both uncertainties. */
  readonly outlier: boolean;
  /** Its tester has no accepted run. */
  readonly newTester: boolean;
  /** Runs of the tester of the same pack under the same protocol that were withdrawn, or moved away when seen, one each up to three. */
  readonly withdrawnTries: number;
  /** How far its figures free of size lie from those of the runs of its chemistry when it was evaluated, in robust standard deviations, up to three. */
  readonly unusual: number;
  /** Nobody has confirmed its pack. */
  readonly unconfirmedPack: boolean;
  /** It conforms and would be the pack's first, or stand among the first three of its class by itself. */
  readonly affectsRanking: boolean;
}

/** A run has dozens of ranked figures: twice the uncertainties would call many an honest one an outlier for one of them. */
const OUTLIER_FACTOR = 3;
/** Testers whose consensus says something, whether they have a record or not. */
const MIN_TESTERS = 3;

/** A run of the queue at its place, with what makes it stand there; null until it is scored for the first time, behind all others. */
export interface QueuedRisk {
  readonly runId: string;
  /** 0 until it is scored. */
  readonly score: number;
  readonly parts: RiskParts | null;
}

type RiskParts = Omit<Risk, "runId" | "score">;

/** The queue as it is stored, and the risk of a single run as it is now. */
@Injectable()
export class RiskRepository {
  constructor(private readonly database: Database) {}

  /** Runs of others in a review state that a moderator can decide on, those with the most risk first, then the oldest. */
  queue(review: string, notBy: string, { after, before, backward, take }: Window): Promise<QueuedRisk[]> {
    const at = ([score, id]: CursorKey) => Prisma.sql`(${-Number(score)}::float8, ${String(id)}::uuid)`;
    const between = Prisma.join(
      [
        Prisma.sql`review_state = ${review} AND tester_id <> ${notBy}::uuid`,
        ...(after ? [Prisma.sql`(negated_score, run_id) > ${at(after)}`] : []),
        ...(before ? [Prisma.sql`(negated_score, run_id) < ${at(before)}`] : []),
      ],
      " AND ",
    );
    const order = backward ? Prisma.sql`negated_score DESC, run_id DESC` : Prisma.sql`negated_score, run_id`;
    return this.database.$queryRaw<QueuedRisk[]>`
      SELECT run_id::text AS "runId", -negated_score AS score, parts FROM review_score WHERE ${between} ORDER BY ${order} LIMIT ${take}`;
  }

  async count(review: string, notBy: string): Promise<number> {
    const rows = await this.database.$queryRaw<{ count: number }[]>`
      SELECT count(*)::int AS count FROM review_score WHERE review_state = ${review} AND tester_id <> ${notBy}::uuid`;
    return rows[0]?.count ?? 0;
  }

  async of(runId: string): Promise<Risk | null> {
    const rows = await this.database.$queryRaw<Risk[]>`${risks(Prisma.sql`run.id = ${runId}::uuid`)}`;
    return rows[0] ?? null;
  }
}

/** Most runs of a chemistry that a run is set against, and the newest runs of a protocol among which they are sought. */
const MAX_OF_CLASS = 200;
const MAX_NEWEST = 2_000;
/** Fewer runs say nothing of what is usual. */
const MIN_OF_CLASS = 5;
/** Spreads below this share of a value are no wonder among few runs (common practice, no published source). */
const MIN_SPREAD = 0.02;
const MAX_UNUSUAL = 3;
/** A normal distribution's standard deviation over the median distance from its median (from memory). */
const MEDIAN_DISTANCE_FACTOR = 1.4826;

/** Logarithms of figures that do not depend on a pack's size: capacity over rated, mean cell voltage, resistance times capacity. */
const SIZE_FREE = Prisma.sql`
  SELECT measured.id, size_free.figure, ln(size_free.value) AS size_free
  FROM run AS measured
  JOIN pack AS labelled ON labelled.id = measured.pack_id
  CROSS JOIN LATERAL (SELECT max(value) FILTER (WHERE key = 'capacity') AS capacity, max(value) FILTER (WHERE key = 'energy') AS energy,
      max(value) FILTER (WHERE key = 'resistance-10s') AS resistance
    FROM figure WHERE figure.evaluation_id = measured.current_evaluation_id AND figure.load = 0 AND figure.bound = 'none'
      AND figure.key IN ('capacity', 'energy', 'resistance-10s')) AS found
  CROSS JOIN LATERAL (VALUES ('capacity', capacity / labelled.rated_capacity_mah), ('voltage', energy / nullif(capacity, 0) / labelled.series),
    ('resistance', resistance * capacity)) AS size_free (figure, value)`;

/**
 * What is unusual is judged once for an evaluation of a run that waits, against the runs of its chemistry at that time, as everything else that a
 * verdict says: each run that comes would change it a little for all that wait.
 */
const JUDGED = Prisma.sql`judged.run_id = run.id AND judged.judged_evaluation_id = run.current_evaluation_id`;

/** Median and spread of what is free of size, by protocol and chemistry of the runs that are to be judged. */
const classMiddles = (about: Prisma.Sql) => Prisma.sql`
  WITH class AS (SELECT DISTINCT run.protocol_key, pack.chemistry FROM run JOIN pack ON pack.id = run.pack_id
    WHERE ${about} AND NOT EXISTS (SELECT FROM review_score AS judged WHERE ${JUDGED})),
  sampled AS (SELECT class.protocol_key, class.chemistry, free.figure, free.size_free FROM class
    CROSS JOIN LATERAL (SELECT newest.id FROM (SELECT one.id, one.pack_id FROM run AS one
        WHERE one.protocol_key = class.protocol_key AND one.state = 'processed'
          AND one.review_state IN ('accepted', 'pending', 'info-requested') ORDER BY one.id DESC LIMIT ${MAX_NEWEST}::int) AS newest
      JOIN pack AS of_class ON of_class.id = newest.pack_id AND of_class.chemistry = class.chemistry
      ORDER BY newest.id DESC LIMIT ${MAX_OF_CLASS}::int) AS one
    CROSS JOIN LATERAL (${SIZE_FREE} WHERE measured.id = one.id AND size_free.value > 0) AS free),
  median AS (SELECT protocol_key, chemistry, figure, percentile_cont(0.5) WITHIN GROUP (ORDER BY size_free) AS median
    FROM sampled GROUP BY protocol_key, chemistry, figure HAVING count(*) >= ${MIN_OF_CLASS}::int),
  middle AS (SELECT median.protocol_key, median.chemistry, median.figure, median.median, greatest(${MIN_SPREAD}::float8,
      ${MEDIAN_DISTANCE_FACTOR}::float8 * percentile_cont(0.5) WITHIN GROUP (ORDER BY abs(sampled.size_free - median.median))) AS spread
    FROM median JOIN sampled USING (protocol_key, chemistry, figure)
    GROUP BY median.protocol_key, median.chemistry, median.figure, median.median)`;

/** The risk of some runs as it is now. */
export function risks(about: Prisma.Sql): Prisma.Sql {
  return Prisma.sql`
    SELECT "runId", "failedAdvice", copied, outlier, "newTester", "affectsRanking", "withdrawnTries", unusual, "unconfirmedPack",
      ("failedAdvice" + 5 * copied::int + 3 * outlier::int + 2 * "newTester"::int + 2 * "affectsRanking"::int + "withdrawnTries"
        + unusual + "unconfirmedPack"::int) AS score
    FROM (${classMiddles(about)}
      SELECT run.id::text AS "runId",
        LEAST(3, (SELECT count(*) FROM finding WHERE finding.evaluation_id = run.current_evaluation_id
          AND finding.severity = 'advised' AND finding.outcome = 'fail'))::int AS "failedAdvice",
        EXISTS (SELECT FROM run AS twin JOIN specimen AS other ON other.id = twin.specimen_id
          WHERE twin.log_sha256 = run.log_sha256 AND twin.id <> run.id AND twin.review_state <> 'withdrawn'
            AND (twin.tester_id <> run.tester_id OR other.pack_id <> specimen.pack_id))
          OR EXISTS (SELECT FROM copy_match WHERE run.id IN (copy_match.later_run_id, copy_match.earlier_run_id))
          AS copied,
        EXISTS (SELECT FROM standing JOIN figure ON figure.evaluation_id = run.current_evaluation_id
            AND figure.key = standing.figure AND figure.load = standing.load
            AND (figure.basis = 'translated') = (standing.basis = 'translated')
          WHERE standing.pack_id = specimen.pack_id AND standing.protocol_key = run.protocol_key AND standing.testers >= ${MIN_TESTERS}::int
            AND figure.bound = 'none' AND abs(figure.value - standing.value)
              > ${OUTLIER_FACTOR}::float8 * sqrt(figure.uncertainty ^ 2 + standing.uncertainty ^ 2)) AS outlier,
        LEAST(3, ${TRIES})::int AS "withdrawnTries",
        coalesce((judged.parts ->> 'unusual')::float8, round(coalesce((SELECT least(${MAX_UNUSUAL}::float8, max(abs(own.size_free - middle.median) / middle.spread))
          FROM (${SIZE_FREE} WHERE measured.id = run.id AND size_free.value > 0) AS own
          JOIN middle ON middle.protocol_key = run.protocol_key AND middle.chemistry = pack.chemistry
            AND middle.figure = own.figure), 0)::numeric, 2)::float8) AS unusual,
        pack.confirmed_at IS NULL AS "unconfirmedPack",
        NOT EXISTS (SELECT FROM run AS earlier
          WHERE earlier.tester_id = run.tester_id AND earlier.review_state = 'accepted') AS "newTester",
        EXISTS (SELECT FROM evaluation
          WHERE evaluation.id = run.current_evaluation_id AND evaluation.verdict <> 'nonconforming')
        AND (NOT EXISTS (SELECT FROM standing
            WHERE standing.pack_id = specimen.pack_id AND standing.protocol_key = run.protocol_key)
          OR EXISTS (SELECT FROM standing JOIN figure ON figure.evaluation_id = run.current_evaluation_id
              AND figure.key = standing.figure AND figure.load = standing.load
            AND (figure.basis = 'translated') = (standing.basis = 'translated')
            WHERE standing.pack_id = specimen.pack_id AND standing.protocol_key = run.protocol_key
              AND figure.bound = 'none' AND NOT EXISTS (SELECT FROM standing AS better
                WHERE better.protocol_key = standing.protocol_key AND better.figure = standing.figure AND better.load = standing.load
                  AND better.chemistry = pack.chemistry AND better.series = pack.series AND better.pack_id <> pack.id
                  AND better.sort_value > sign(standing.sort_value) * figure.value OFFSET 2))) AS "affectsRanking"
      FROM run
      JOIN specimen ON specimen.id = run.specimen_id
      JOIN pack ON pack.id = specimen.pack_id
      LEFT JOIN review_score AS judged ON ${JUDGED}
      WHERE ${about}
    ) AS parts`;
}
