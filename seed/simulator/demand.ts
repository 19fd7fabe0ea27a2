import type { LoadKind } from "../../src/core/model.js";

const { max, min, sqrt } = Math;

/** What a load asks of a pack. A throttle on a fixed propeller or brake behaves like a resistance. */
export interface Demand {
  readonly kind: LoadKind;
  /** ohm for a throttle or constant resistance, A for constant current, W for constant power. */
  readonly level: number;
  /** Time from 10 % to 90 % of the current; 0 is a step. */
  readonly riseSeconds: number;
}

/** The smooth step s^2 (3 - 2 s) passes 0.1 at s = 0.19580 and 0.9 at s = 0.80420. */
const RISE_SHARE_OF_RAMP = 0.6084;

/** Share of the full demand at a time after the load was switched on. */
export function rampShare(demand: Demand, seconds: number): number {
  if (demand.riseSeconds === 0) return 1;
  const s = min(max((seconds * RISE_SHARE_OF_RAMP) / demand.riseSeconds, 0), 1);
  return s * s * (3 - 2 * s);
}

/**
 * A drawn by the full demand from a source of `sourceVolts` behind `seriesOhm`. A constant power above what the
 * source can give draws the current of its largest power.
 */
export function demandedAmperes(demand: Demand, sourceVolts: number, seriesOhm: number): number {
  switch (demand.kind) {
    case "throttle":
    case "constant-resistance":
      return sourceVolts / (seriesOhm + demand.level);
    case "constant-current":
      return demand.level;
    case "constant-power": {
      const discriminant = max(sourceVolts ** 2 - 4 * seriesOhm * demand.level, 0);
      return (2 * demand.level) / (sourceVolts + sqrt(discriminant));
    }
  }
}
