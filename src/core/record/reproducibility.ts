import { oneWay, type SumOfSquares } from "../statistics/analysis-of-variance.js";

/** How far results of different testers of one pack scatter: s_R over the value. */
export interface Reproducibility {
  readonly relativeSd: number;
  /** Of what was seen of it; 0 where nothing was. */
  readonly degreesOfFreedom: number;
}

/**
 * What testers scatter by at least, as a share of the value: other specimens 0.5 %, repeats 0.25 %, benches 0.7 % for powers (their
 * root sum of squares and a little more); what rests on small differences of voltage scatters more (common practice, no
 * published source).
 */
const MIN_BY_FIGURE: readonly (readonly [prefix: string, relativeSd: number])[] = [
  ["power-", 0.0095],
  ["voltage-", 0.005],
  ["current-", 0.0095],
  ["capacity", 0.01],
  ["energy", 0.012],
  ["runtime", 0.012],
  ["resistance-", 0.03],
  ["sag-", 0.03],
  ["temperature-", 0.06],
  ["time-to-limit", 0.06],
  ["hold-", 0.006],
  ["specific-", 0.013],
  ["verified-", 0.03],
  ["claim-share", 0.03],
];
/** Of a figure that the table does not name. */
const MIN_OF_OTHERS = 0.02;

/** Fewer degrees of freedom say nothing that the table does not say better. */
const MIN_FREEDOM = 12;
/** Testers who agree badly on purpose must not widen the limits for each other without end. */
const MAX_FACTOR = 2;

/** The least s_R of a figure, as a share of its value. */
export function leastReproducibility(figure: string): number {
  return MIN_BY_FIGURE.find(([prefix]) => figure.startsWith(prefix))?.[1] ?? MIN_OF_OTHERS;
}

/**
 * How far reference testers' results of the same pack and load scatter, as shares of their mean: the sum of squares within groups.
 *
 * @param groups the reference testers' results of one pack at one load each, in one unit; groups of one say nothing
 */
export function scatterOf(groups: readonly (readonly number[])[]): SumOfSquares {
  const scaled = groups
    .filter((group) => group.length > 1)
    .map((group) => {
      const mean = group.reduce((sum, value) => sum + value, 0) / group.length;
      return group.map((value) => value / mean);
    })
    .filter((group) => group.every(Number.isFinite));
  return scaled.length === 0 ? { squares: 0, degreesOfFreedom: 0 } : oneWay(scaled).within;
}

/**
 * s_R of one figure: the standard deviation between reference testers of the same pack and load, pooled over packs as in ISO 5725-2 for one
 * result a tester (clause not at hand), never below the least one of the figure nor above twice that.
 *
 * @param scatter of all its packs and loads together
 */
export function reproducibilityOf(figure: string, { squares, degreesOfFreedom }: SumOfSquares): Reproducibility {
  const least = leastReproducibility(figure);
  if (degreesOfFreedom < MIN_FREEDOM) return { relativeSd: least, degreesOfFreedom };
  const seen = Math.sqrt(squares / degreesOfFreedom);
  return { relativeSd: Math.min(Math.max(seen, least), MAX_FACTOR * least), degreesOfFreedom };
}
