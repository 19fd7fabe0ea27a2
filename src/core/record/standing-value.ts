import { hypot } from "../numerics/hypot.js";
import { square } from "../numerics/square.js";
import { consensusOf } from "../statistics/consensus.js";
import type { EstimateWithFreedom } from "../statistics/estimate.js";
import { median } from "../statistics/median.js";
import { sharedBy } from "../statistics/shared-uncertainty.js";
import { effectiveFreedom } from "../uncertainty/effective-freedom.js";
import { boundedShares } from "./bounded-shares.js";
import { huberMean } from "./huber.js";

/** One tester's result of one figure of one pack at one load. */
export interface TesterResultOfPack extends EstimateWithFreedom {
  readonly testerId: string;
  /** The parts of its uncertainty that testers share, in the order of `SHARED_PARTS`, signed; `uncertainty` leaves them out. */
  readonly parts: readonly number[];
  /** Least uncertainty that averaging does not lessen. */
  readonly common: number;
  /** What the tester's record shows of the own results' uncertainty where it contradicts what is stated, over the value; else 0. */
  readonly recordUncertainty: number;
}

/** What several testers together say. */
export interface StandingValue extends EstimateWithFreedom {
  readonly sharedUncertainty: number;
  readonly betweenVariance: number;
  /** Share of each result in the value, in their order; together 1. */
  readonly shares: readonly number[];
}

/** No stated uncertainty counts for less than this share of s_R. */
const MIN_UNCERTAINTY = 0.7;
/** From so many testers on, nobody's share exceeds the bound. */
const MIN_TESTERS_BOUNDED = 4;
const MAX_SHARE = 1 / 3;
/** From so many testers on, the mean is a robust one. */
const MIN_TESTERS_ROBUST = 3;
const MIN_SCALE = 0.8;
/** The median distance from the median of a normal distribution is its standard deviation over this (from memory). */
const MEDIAN_DISTANCE_FACTOR = 1.4826;

/**
 * The value that testers' results make together: random-effects weights 1/(u_i^2 + tau^2) with tau^2 of Mandel and Paule and u_i not
 * below 0.7 s_R, no share above 1/3 from four testers on, and from three on Huber's mean at the scale max(0.8 s_R, 1.4826 MAD).
 * u^2 = sum(share^2 (u_i^2 + tau^2)), with what testers share added once, signed.
 *
 * Source: the methods' papers at `consensusOf` and `huberMean`; floor, bound and scale are the design of this project, simulated,
 * docs/records.md.
 *
 * @param results at least one, of one unit
 * @param relativeSd s_R over the value
 */
export function standingValue(results: readonly TesterResultOfPack[], relativeSd: number): StandingValue {
  const values = results.map(({ value }) => value);
  const centre = median(values);
  const sd = relativeSd * Math.abs(centre);
  const floored = results.map((one) => withLeastUncertainty(one, centre, sd));
  const { betweenVariance } = consensusOf(floored);
  const shares = sharesOf(floored, betweenVariance, sd);
  const value = centre + shares.reduce((sum, share, i) => sum + share * ((values[i] as number) - centre), 0);
  const own = ownPart(floored, shares, betweenVariance);
  const shared = sharedBy(results.map(({ parts }, i) => ({ share: shares[i] as number, parts })));
  const whole = [own, { uncertainty: shared, degreesOfFreedom: null }];
  const least = Math.min(...results.map(({ common }) => common));
  return {
    value,
    uncertainty: Math.max(hypot(own.uncertainty, shared), least),
    degreesOfFreedom: shared === 0 ? own.degreesOfFreedom : effectiveFreedom(whole),
    sharedUncertainty: shared,
    betweenVariance,
    shares,
  };
}

/** u of a result as it counts, in its unit: at least 0.7 s_R, and what the tester's record shows. */
export function countedUncertainty(
  { uncertainty, recordUncertainty }: TesterResultOfPack,
  centre: number,
  relativeSd: number,
): number {
  const size = Math.abs(centre);
  const least = Math.max(Number.EPSILON * size, Number.EPSILON);
  return Math.max(uncertainty, MIN_UNCERTAINTY * relativeSd * size, recordUncertainty * size, least);
}

function withLeastUncertainty(one: TesterResultOfPack, centre: number, sd: number): TesterResultOfPack {
  const uncertainty = countedUncertainty(one, centre, centre === 0 ? 0 : sd / Math.abs(centre));
  return uncertainty > one.uncertainty ? { ...one, uncertainty, degreesOfFreedom: null } : one;
}

function sharesOf(results: readonly TesterResultOfPack[], betweenVariance: number, sd: number): number[] {
  const bound = results.length >= MIN_TESTERS_BOUNDED ? MAX_SHARE : 1;
  const weights = results.map(({ uncertainty }) => 1 / (square(uncertainty) + betweenVariance));
  const shares = boundedShares(weights, bound);
  if (results.length < MIN_TESTERS_ROBUST) return shares;
  const values = results.map(({ value }) => value);
  const centre = median(values);
  const spread = MEDIAN_DISTANCE_FACTOR * median(values.map((value) => Math.abs(value - centre)));
  const scale = Math.max(MIN_SCALE * sd, spread);
  if (!(scale > 0)) return shares;
  const { factors } = huberMean(values, shares, scale, centre);
  return boundedShares(
    shares.map((share, i) => share * (factors[i] as number)),
    bound,
  );
}

function ownPart(results: readonly TesterResultOfPack[], shares: readonly number[], betweenVariance: number) {
  const parts = results.map(({ uncertainty, degreesOfFreedom }, i) => {
    return { uncertainty: (shares[i] as number) * uncertainty, degreesOfFreedom };
  });
  const between = {
    uncertainty: Math.sqrt(betweenVariance) * hypot(...shares),
    degreesOfFreedom: Math.max(1, results.length - 1),
  };
  const all = [...parts, between];
  return { uncertainty: hypot(...all.map((part) => part.uncertainty)), degreesOfFreedom: effectiveFreedom(all) };
}
