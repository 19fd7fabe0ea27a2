import { exp, log } from "../numerics/library.js";
import { fitLine } from "../statistics/line.js";
import { indexAtOrAfter } from "../trace/series.js";
import type { CellSource } from "./cell-source.js";

/** Share of the charge over which the last slope of the source is taken, and the one before it. */
const TAIL_SHARE = 0.02;
/** Farthest that it is carried on, as a share of the charge drawn. */
const MAX_SHARE = 0.025;
const MAX_GROWTH = 3;
const POINTS = 12;

/**
 * The source carried on past its last charge: from the end of the line through its last 2 % of charge, falling by that line's slope, which
 * grows by a factor for every 2 % as it grew from the 2 % before (1 to 3). null when the source does not fall at its end.
 *
 * @param neededVolts about how far it has to fall, V per cell
 * @param extension factor on the charge by which it is carried on
 */
export function carriedOn(source: CellSource, neededVolts: number, extension: number): CellSource | null {
  const { charge, sourceVolts, factor } = source;
  const last = charge.length - 1;
  const whole = charge[last] as number;
  const width = TAIL_SHARE * whole;
  const from = indexAtOrAfter(charge, whole - width);
  const line = fitLine(charge, sourceVolts, from, charge.length);
  const earlier = fitLine(charge, sourceVolts, indexAtOrAfter(charge, whole - 2 * width), from);
  if (!line || !(line.slope < 0)) return null;
  const growth = earlier && earlier.slope < 0 ? Math.min(MAX_GROWTH, Math.max(1, line.slope / earlier.slope)) : 1;
  const rate = log(growth) / width;
  // The line's slope is that in the middle of its stretch.
  const slope = line.slope * exp((rate * width) / 2);
  const fallen = (more: number) => (rate > 0 ? (slope * (exp(rate * more) - 1)) / rate : slope * more);
  const lastVolts = sourceVolts[last] as number;
  let added = MAX_SHARE * whole;
  // With some to spare: the load's own current falls with the voltage, so less resistance is met.
  const wanted = -1.5 * neededVolts;
  if (fallen(added) < wanted) added = rate > 0 ? log(1 + (rate * wanted) / slope) / rate : wanted / slope;
  const more = Float64Array.from({ length: POINTS }, (_, n) => (added * (n + 1)) / POINTS);
  const lastFactor = factor[last] as number;
  return {
    ...source,
    charge: joined(
      charge,
      more.map((one) => whole + extension * one),
    ),
    sourceVolts: joined(
      sourceVolts,
      more.map((one) => lastVolts + fallen(one)),
    ),
    factor: joined(
      factor,
      more.map(() => lastFactor),
    ),
  };
}

function joined(values: Float64Array, more: Float64Array): Float64Array {
  const all = new Float64Array(values.length + more.length);
  all.set(values);
  all.set(more, values.length);
  return all;
}
