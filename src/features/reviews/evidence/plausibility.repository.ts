import { Injectable } from "@nestjs/common";
import type { Chemistry, Sense } from "../../../core/model.js";
import type { SizeFree } from "../../../core/plausibility/signs.js";
import { Database } from "../../../platform/database/database.js";

/** Newest accepted runs of a protocol that are looked through for those of a run's chemistry. */
const MAX_RUNS = 500;

/** What is stored of a run, as far as it tells whether it was measured. */
export interface StoredRun extends SizeFree {
  readonly chemistry: Chemistry;
  readonly heatPercent: number | null;
  readonly sense: Sense;
  /** Packs in the rankings of its chemistry and series. */
  readonly packs: number;
  readonly encoding: string;
  readonly data: Uint8Array;
}

@Injectable()
export class PlausibilityRepository {
  constructor(private readonly database: Database) {}

  /** Null where the run is not evaluated. */
  async find(runId: string): Promise<StoredRun | null> {
    const [found] = await this.database.$queryRaw<StoredRun[]>`
      SELECT pack.chemistry, trace.encoding, trace.data,
        resistance.value * capacity.value / 1000 / pack.series AS "resistanceMilliohmAh",
        1000 * energy.value / nullif(capacity.value, 0) / pack.series AS "meanCellVolts",
        specific.value AS "wattHoursPerKg",
        (SELECT observed FROM finding WHERE finding.evaluation_id = run.current_evaluation_id
          AND finding.rule = 'temperature-follows') AS "heatPercent",
        jsonb_build_object('point', bench.sense_point, 'resistanceMilliohm', bench.sense_resistance_milliohm,
          'gaugeAwg', bench.sense_gauge_awg, 'lengthMm', bench.sense_length_mm) AS sense,
        (SELECT count(DISTINCT standing.pack_id) FROM standing WHERE standing.protocol_key = run.protocol_key
          AND standing.chemistry = pack.chemistry AND standing.series = pack.series)::int AS packs
      FROM run
      JOIN bench ON bench.id = run.bench_id
      JOIN specimen ON specimen.id = run.specimen_id
      JOIN pack ON pack.id = specimen.pack_id
      JOIN trace ON trace.evaluation_id = run.current_evaluation_id
      LEFT JOIN figure AS resistance ON resistance.evaluation_id = run.current_evaluation_id AND resistance.key = 'resistance-10s' AND resistance.load = 0
      LEFT JOIN figure AS capacity ON capacity.evaluation_id = run.current_evaluation_id AND capacity.key = 'capacity' AND capacity.load = 0
      LEFT JOIN figure AS energy ON energy.evaluation_id = run.current_evaluation_id AND energy.key = 'energy' AND energy.load = 0
      LEFT JOIN figure AS specific ON specific.evaluation_id = run.current_evaluation_id AND specific.key = 'specific-energy' AND specific.load = 0
      WHERE run.id = ${runId}::uuid LIMIT 1`;
    return found ?? null;
  }

  /** Means of the accepted runs of each other pack of the chemistry under the same protocol. */
  classOf(runId: string): Promise<SizeFree[]> {
    return this.database.$queryRaw<SizeFree[]>`
      SELECT avg(resistance.value * capacity.value / 1000 / sibling.series) AS "resistanceMilliohmAh",
        avg(1000 * energy.value / nullif(capacity.value, 0) / sibling.series) AS "meanCellVolts",
        avg(specific.value) AS "wattHoursPerKg"
      FROM run
      JOIN specimen ON specimen.id = run.specimen_id
      JOIN pack ON pack.id = specimen.pack_id
      CROSS JOIN LATERAL (SELECT one.specimen_id, one.current_evaluation_id AS evaluation_id FROM run AS one
        WHERE one.protocol_key = run.protocol_key AND one.review_state = 'accepted' AND one.state = 'processed'
        ORDER BY one.id DESC LIMIT ${MAX_RUNS}::int) AS other
      JOIN specimen AS tested ON tested.id = other.specimen_id
      JOIN pack AS sibling ON sibling.id = tested.pack_id AND sibling.chemistry = pack.chemistry AND sibling.id <> pack.id
      JOIN figure AS capacity ON capacity.evaluation_id = other.evaluation_id AND capacity.key = 'capacity' AND capacity.load = 0
        AND capacity.bound = 'none'
      LEFT JOIN figure AS energy ON energy.evaluation_id = other.evaluation_id AND energy.key = 'energy' AND energy.load = 0
      LEFT JOIN figure AS resistance ON resistance.evaluation_id = other.evaluation_id AND resistance.key = 'resistance-10s'
        AND resistance.load = 0
      LEFT JOIN figure AS specific ON specific.evaluation_id = other.evaluation_id AND specific.key = 'specific-energy' AND specific.load = 0
      WHERE run.id = ${runId}::uuid GROUP BY sibling.id`;
  }
}
