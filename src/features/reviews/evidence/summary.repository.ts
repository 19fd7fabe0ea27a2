import { Injectable } from "@nestjs/common";
import { Prisma } from "../../../generated/prisma/client.js";
import { Database, type Transaction } from "../../../platform/database/database.js";
import { TRIES } from "../../../platform/database/rows/moved-runs.js";

/** A figure of a run, free of bounds. */
export interface OwnFigure {
  readonly figure: string;
  /** The standard load, A; null under the run's own load. */
  readonly load: number | null;
  readonly unit: string;
  readonly value: number;
  readonly uncertainty: number;
}

/** The same figure of a run of another tester of the pack, evaluated under the same versions. */
export interface OthersFigure extends Omit<OwnFigure, "unit"> {
  readonly testerId: string;
  readonly isAccepted: boolean;
}

/** A pack's standing with its place among the established ones of its class. */
export interface PackStandingRow {
  readonly figure: string;
  readonly load: number | null;
  readonly value: number;
  readonly uncertainty: number;
  readonly testers: number;
  readonly established: boolean;
  /** Null while it is provisional. */
  readonly place: number | null;
}

/** What a tester has tried before, beside what became of the runs. */
export interface TesterTries {
  /** Runs of the same pack under the same protocol that were withdrawn, or moved away when seen. */
  readonly withdrawnOfPack: number;
  /** Runs of other testers, of the same chemistry and cell count, that the tester rejected as a moderator. */
  readonly rejectedRivals: number;
}

/** Other runs whose figures are read: the newest ones. */
const MAX_OTHERS = 200;

/** Reads the few facts by which a run is judged at a glance. */
@Injectable()
export class SummaryRepository {
  constructor(private readonly database: Database) {}

  figuresOf(runId: string): Promise<OwnFigure[]> {
    return this.database.$queryRaw<OwnFigure[]>`
      SELECT figure.key AS figure, nullif(figure.load, 0) AS load, figure.unit, figure.value, figure.uncertainty
      FROM run JOIN figure ON figure.evaluation_id = run.current_evaluation_id AND figure.bound = 'none'
      WHERE run.id = ${runId}::uuid ORDER BY figure.key, figure.load`;
  }

  /** Those of some figures that other testers' runs of the pack have which are accepted or wait. */
  othersOf(runId: string, figures: readonly Pick<OwnFigure, "figure" | "load">[]): Promise<OthersFigure[]> {
    const keys = figures.map(({ figure }) => figure);
    const loads = figures.map(({ load }) => load ?? 0);
    return this.database.$queryRaw<OthersFigure[]>`
      SELECT figure.key AS figure, nullif(figure.load, 0) AS load, figure.value, figure.uncertainty,
        other.tester_id::text AS "testerId", other.review_state = 'accepted' AS "isAccepted"
      FROM run
      JOIN evaluation ON evaluation.id = run.current_evaluation_id
      CROSS JOIN LATERAL (SELECT one.tester_id, one.review_state, one.current_evaluation_id FROM run AS one
        JOIN evaluation AS judged ON judged.id = one.current_evaluation_id
        WHERE one.pack_id = run.pack_id AND one.protocol_key = run.protocol_key AND one.tester_id <> run.tester_id
          AND one.review_state IN ('accepted', 'pending', 'info-requested') AND judged.verdict <> 'nonconforming'
          AND judged.protocol_version = evaluation.protocol_version
          AND judged.computation_version = evaluation.computation_version
        ORDER BY one.id DESC LIMIT ${MAX_OTHERS}::int) AS other
      CROSS JOIN unnest(${keys}::text[], ${loads}::float8[]) AS wanted (key, load)
      JOIN figure ON figure.evaluation_id = other.current_evaluation_id AND figure.key = wanted.key
        AND figure.load = wanted.load AND figure.bound = 'none'
      WHERE run.id = ${runId}::uuid`;
  }

  /** The standings of a run's pack under its protocol, as the transaction sees them. */
  standingsOf(runId: string, tx: Transaction = this.database): Promise<PackStandingRow[]> {
    const better = Prisma.sql`SELECT 1 + count(*) FROM standing AS better
      WHERE better.protocol_key = own.protocol_key AND better.figure = own.figure AND better.load = own.load
        AND better.chemistry = own.chemistry AND better.series = own.series AND better.established
        AND better.sort_value > own.sort_value`;
    return tx.$queryRaw<PackStandingRow[]>`
      SELECT own.figure, nullif(own.load, 0) AS load, own.value, own.uncertainty, own.testers, own.established,
        CASE WHEN own.established THEN (${better}) END::int AS place
      FROM run JOIN standing AS own ON own.pack_id = run.pack_id AND own.protocol_key = run.protocol_key
      WHERE run.id = ${runId}::uuid`;
  }

  async triesOf(runId: string): Promise<TesterTries> {
    const [tries] = await this.database.$queryRaw<TesterTries[]>`
      SELECT ${TRIES}::int AS "withdrawnOfPack",
        (SELECT count(DISTINCT rejected.id) FROM review
          JOIN run AS rejected ON rejected.id = review.run_id
          JOIN pack AS other ON other.id = rejected.pack_id AND other.chemistry = pack.chemistry AND other.series = pack.series
          WHERE review.moderator_id = run.tester_id AND review.decision = 'reject')::int AS "rejectedRivals"
      FROM run JOIN pack ON pack.id = run.pack_id WHERE run.id = ${runId}::uuid`;
    return tries ?? { withdrawnOfPack: 0, rejectedRivals: 0 };
  }
}
