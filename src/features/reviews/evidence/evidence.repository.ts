import { Injectable } from "@nestjs/common";
import { Database } from "../../../platform/database/database.js";

/** How a tester's runs fared. */
export interface TesterHistory {
  readonly since: Date;
  readonly accepted: number;
  readonly rejected: number;
  readonly undecided: number;
  readonly withdrawn: number;
}

/** A figure of a run beside the pack's standing, and the place that the run alone would have in its class. */
export interface Effect {
  readonly figure: string;
  /** The standard load, A; null under the runs' own loads. */
  readonly load: number | null;
  readonly unit: string;
  readonly value: number;
  readonly uncertainty: number;
  readonly packValue: number | null;
  readonly packUncertainty: number | null;
  readonly packPlace: number | null;
  readonly placeAlone: number;
}

const MAX_RUNS = 50;
/** Accepted runs that one is compared with, the newest ones. */
const MAX_COMPARED = 200;

/** A ranked figure of a run, and the same figure of an accepted run of the pack by another tester. */
export interface ComparedFigure {
  readonly figure: string;
  /** The standard load, A; null under the runs' own loads. */
  readonly load: number | null;
  readonly unit: string;
  readonly value: number;
  readonly uncertainty: number;
  readonly otherTester: string;
  readonly otherValue: number;
  readonly otherUncertainty: number;
}

/** What a moderator wants to see beside a run. */
@Injectable()
export class EvidenceRepository {
  constructor(private readonly database: Database) {}

  /** Other runs of the pack under the same protocol that were accepted or wait, newest first. */
  async runsOfPack(runId: string): Promise<string[]> {
    const rows = await this.database.$queryRaw<{ id: string }[]>`
      SELECT other.id::text FROM run
      JOIN specimen ON specimen.id = run.specimen_id
      JOIN specimen AS sibling ON sibling.pack_id = specimen.pack_id
      JOIN run AS other ON other.specimen_id = sibling.id AND other.protocol_key = run.protocol_key
      WHERE run.id = ${runId}::uuid AND other.id <> run.id AND other.review_state IN ('accepted', 'pending', 'info-requested')
      ORDER BY other.id DESC LIMIT ${MAX_RUNS}`;
    return rows.map(({ id }) => id);
  }

  /** Runs with the very same log, whoever uploaded them for whichever pack. */
  async sameLog(runId: string): Promise<string[]> {
    const rows = await this.database.$queryRaw<{ id: string }[]>`
      SELECT other.id::text FROM run JOIN run AS other ON other.log_sha256 = run.log_sha256
      WHERE run.id = ${runId}::uuid AND other.id <> run.id ORDER BY other.id LIMIT ${MAX_RUNS}`;
    return rows.map(({ id }) => id);
  }

  async historyOf(testerId: string): Promise<TesterHistory> {
    const [history] = await this.database.$queryRaw<TesterHistory[]>`
      SELECT account.created_at AS since,
        count(*) FILTER (WHERE run.review_state = 'accepted')::int AS accepted,
        count(*) FILTER (WHERE run.review_state = 'rejected')::int AS rejected,
        count(*) FILTER (WHERE run.review_state IN ('pending', 'info-requested'))::int AS undecided,
        count(*) FILTER (WHERE run.review_state = 'withdrawn')::int AS withdrawn
      FROM account LEFT JOIN run ON run.tester_id = account.id
      WHERE account.id = ${testerId}::uuid GROUP BY account.id`;
    if (!history) throw new Error(`there is no account ${testerId}`);
    return history;
  }

  /** Ranked figures of a run beside those of other testers' accepted runs of the pack, evaluated under the same version. */
  comparedFigures(runId: string): Promise<ComparedFigure[]> {
    return this.database.$queryRaw<ComparedFigure[]>`
      SELECT figure.key AS figure, nullif(figure.load, 0) AS load, figure.unit, figure.value, figure.uncertainty,
        other.tester_id::text AS "otherTester", theirs.value AS "otherValue", theirs.uncertainty AS "otherUncertainty"
      FROM run
      JOIN specimen ON specimen.id = run.specimen_id
      JOIN evaluation ON evaluation.id = run.current_evaluation_id
      JOIN figure ON figure.evaluation_id = evaluation.id AND figure.bound = 'none'
      JOIN (SELECT DISTINCT protocol_key, figure, basis FROM standing) AS ranked
        ON ranked.protocol_key = run.protocol_key AND ranked.figure = figure.key
          AND (ranked.basis = 'translated') = (figure.basis = 'translated')
      CROSS JOIN LATERAL (SELECT one.id, one.tester_id, one.current_evaluation_id FROM run AS one
        JOIN specimen AS sibling ON sibling.id = one.specimen_id
        JOIN evaluation AS judged ON judged.id = one.current_evaluation_id
        WHERE sibling.pack_id = specimen.pack_id AND one.protocol_key = run.protocol_key
          AND one.review_state = 'accepted' AND one.tester_id <> run.tester_id
          AND judged.protocol_version = evaluation.protocol_version
          AND judged.computation_version = evaluation.computation_version
        ORDER BY one.id DESC LIMIT ${MAX_COMPARED}) AS other
      JOIN figure AS theirs ON theirs.evaluation_id = other.current_evaluation_id AND theirs.key = figure.key
        AND theirs.bound = 'none' AND theirs.load = figure.load
      WHERE run.id = ${runId}::uuid ORDER BY figure.key, figure.load, other.id`;
  }

  /** When the newest of what is compared came: an evaluation of the run or of another tester's accepted run, or a decision on one. */
  async comparedAt(runId: string): Promise<Date> {
    const [newest] = await this.database.$queryRaw<{ at: Date }[]>`
      SELECT greatest(run.created_at, evaluation.created_at, max(judged.created_at), max(review.created_at)) AS at
      FROM run
      JOIN specimen ON specimen.id = run.specimen_id
      LEFT JOIN evaluation ON evaluation.id = run.current_evaluation_id
      LEFT JOIN (run AS one JOIN specimen AS sibling ON sibling.id = one.specimen_id
        JOIN evaluation AS judged ON judged.id = one.current_evaluation_id LEFT JOIN review ON review.run_id = one.id)
        ON sibling.pack_id = specimen.pack_id AND one.protocol_key = run.protocol_key
          AND one.review_state = 'accepted' AND one.tester_id <> run.tester_id
      WHERE run.id = ${runId}::uuid GROUP BY run.id, evaluation.id`;
    if (!newest) throw new Error(`there is no run ${runId}`);
    return newest.at;
  }

  /** Ranked figures of a run beside the ranking of its class. */
  effects(runId: string): Promise<Effect[]> {
    return this.database.$queryRaw<Effect[]>`
      SELECT figure.key AS figure, nullif(figure.load, 0) AS load, figure.unit, figure.value, figure.uncertainty,
        own.value AS "packValue", own.uncertainty AS "packUncertainty",
        CASE WHEN own.value IS NOT NULL THEN (SELECT 1 + count(*) FROM standing AS better
          WHERE better.protocol_key = run.protocol_key AND better.figure = figure.key AND better.load = figure.load AND better.chemistry = pack.chemistry
            AND better.series = pack.series AND better.sort_value > own.sort_value) END::int AS "packPlace",
        (SELECT 1 + count(*) FROM standing AS better
          WHERE better.protocol_key = run.protocol_key AND better.figure = figure.key AND better.load = figure.load AND better.chemistry = pack.chemistry
            AND better.series = pack.series AND better.pack_id <> pack.id
            AND better.sort_value > sign(better.sort_value) * figure.value)::int AS "placeAlone"
      FROM run
      JOIN specimen ON specimen.id = run.specimen_id
      JOIN pack ON pack.id = specimen.pack_id
      JOIN figure ON figure.evaluation_id = run.current_evaluation_id AND figure.bound = 'none'
      JOIN (SELECT DISTINCT protocol_key, figure, basis FROM standing) AS ranked
        ON ranked.protocol_key = run.protocol_key AND ranked.figure = figure.key
          AND (ranked.basis = 'translated') = (figure.basis = 'translated')
      LEFT JOIN standing AS own ON own.pack_id = pack.id AND own.protocol_key = run.protocol_key AND own.figure = figure.key
        AND own.load = figure.load
      WHERE run.id = ${runId}::uuid ORDER BY figure.key, figure.load`;
  }
}
