import type { LoadKind } from "../../src/core/model.js";

const { max, min, sqrt } = Math;

/** What a load asks of a pack. A throttle on a fixed propeller or brake behaves like a resistance. */
export interface Demand {
  readonly kind: LoadKind;
  /** ohm for a throttle or constant resistance, A for constant current, W for constant power. */
  readonly level: number;
  /** Time from 10 % to 90 % of the current; 0 is a step. */
  readonly riseSeconds: number;
  /** Later levels, each from a time after the load was switched on, in rising order. */
  readonly steps?: readonly DemandStep[];
}

export interface DemandStep {
  readonly fromSeconds: number;
  readonly level: number;
}

/** The smooth step s^2 (3 - 2 s) passes 0.1 at s = 0.19580 and 0.9 at s = 0.80420. */
const RISE_SHARE_OF_RAMP = 0.6084;

/** A drawn at a time after the load was switched on, from a source of `sourceVolts` behind `seriesOhm`. */
export function loadAmperes(demand: Demand, seconds: number, sourceVolts: number, seriesOhm: number): number {
  const full = (level: number) => demandedAmperes(demand.kind, level, sourceVolts, seriesOhm);
  let amperes = rampShare(demand, seconds) * full(demand.level);
  for (const { fromSeconds, level } of demand.steps ?? []) {
    if (seconds >= fromSeconds) amperes += rampShare(demand, seconds - fromSeconds) * (full(level) - amperes);
  }
  return amperes;
}

/** Share of a demand at a time after it was switched on. */
function rampShare(demand: Demand, seconds: number): number {
  if (demand.riseSeconds === 0) return 1;
  const s = min(max((seconds * RISE_SHARE_OF_RAMP) / demand.riseSeconds, 0), 1);
  return s * s * (3 - 2 * s);
}

/**
 * A drawn by the full demand from a source of `sourceVolts` behind `seriesOhm`. A constant power above what the
 * source can give draws the current of its largest power.
 */
function demandedAmperes(kind: LoadKind, level: number, sourceVolts: number, seriesOhm: number): number {
  switch (kind) {
    case "throttle":
    case "constant-resistance":
      return sourceVolts / (seriesOhm + level);
    case "constant-current":
      return level;
    case "constant-power": {
      const discriminant = max(sourceVolts ** 2 - 4 * seriesOhm * level, 0);
      return (2 * level) / (sourceVolts + sqrt(discriminant));
    }
  }
}
