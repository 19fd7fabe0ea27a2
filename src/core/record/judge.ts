import { square } from "../numerics/square.js";
import { median } from "../statistics/median.js";
import { fisherQuantile } from "../statistics/quantiles.js";
import { sampleOf } from "../statistics/sample.js";
import type { RecordQuantity } from "./quantities.js";

/** A tester's result of one pack beside those of reference testers other than the tester, all of one figure at one load. */
export interface RecordPair {
  readonly packId: string;
  readonly value: number;
  /** Standard uncertainty as the bench states it, in the value's unit. */
  readonly statedUncertainty: number;
  /** At least one. */
  readonly references: readonly { readonly testerId: string; readonly value: number }[];
  /** Whether the tester uploaded it while nobody else's results of the pack could be seen. */
  readonly sealed: boolean;
}

/** What a record lacks in one quantity. */
export const RECORD_GAPS = ["packs", "partners", "bias", "scatter"] as const;
export type RecordGap = (typeof RECORD_GAPS)[number];

/** How a tester's results of one quantity stand beside the reference testers'. Biases and uncertainties are shares of the value. */
export interface QuantityRecord {
  readonly quantity: RecordQuantity;
  readonly packs: number;
  /** Different reference testers who have measured these packs. */
  readonly partners: number;
  readonly sealedPacks: number;
  /** Mean of (own - reference) / reference, the reference being the median of a pack's reference testers; null without a pack. */
  readonly bias: number | null;
  /** Standard uncertainty of the bias. */
  readonly biasUncertainty: number | null;
  /** Standard deviation of the differences about their mean; null for fewer than two packs. */
  readonly scatter: number | null;
  /** What the results show of the own uncertainty, where they contradict what is stated; else null. */
  readonly shownUncertainty: number | null;
  /** What is missing; none where the record is good. */
  readonly gaps: readonly RecordGap[];
}

const MIN_PACKS = 3;
const MIN_PARTNERS = 3;
/**
 * Limits of the bias: so many u of it or so many s_R, and never more than `MAX_BIAS_DEVIATIONS` s_R. Three quantities have to agree, so that
 * 2.3 s_R in each keeps as few honest testers out as 2 s_R would in one.
 */
const MAX_BIAS_UNCERTAINTIES = 2;
const MAX_LIKELY_BIAS_DEVIATIONS = 2.3;
const MAX_BIAS_DEVIATIONS = 3;
const MAX_SCATTER = 2;
/** As multiples of s_R: the least uncertainty of a bench, and what specimens of one pack differ by. */
const MIN_BENCH = 0.5;
const SPECIMENS = 0.5;
/** Where chance alone exceeds it once in a hundred records, the stated accuracy is contradicted. */
const CONTRADICTED_LEVEL = 0.99;
/** F with so many degrees of freedom below the line is chi-squared over its degrees of freedom to five digits. */
const AS_GOOD_AS_INFINITE = 1e6;

/**
 * Judges a tester's results of one quantity: at least three packs shared with three different reference testers;
 * |b| <= max(2 u_b, 2.3 s_R) and <= 3 s_R; scatter <= 2 s_R, with u_b^2 = max(u, 0.5 s_R)^2 + mean(s_R^2 / n_p + s_spec^2) / m for m packs
 * with n_p reference testers each.
 *
 * Source: the design of this project, simulated, docs/records.md.
 *
 * @param relativeSd s_R over the value
 */
export function judgeQuantity(
  quantity: RecordQuantity,
  pairs: readonly RecordPair[],
  relativeSd: number,
): QuantityRecord {
  const partners = new Set(pairs.flatMap(({ references }) => references.map(({ testerId }) => testerId))).size;
  const sealedPacks = pairs.filter(({ sealed }) => sealed).length;
  const counted = { quantity, packs: pairs.length, partners, sealedPacks };
  if (pairs.length === 0) {
    const gaps: RecordGap[] = ["packs", "partners"];
    return { ...counted, bias: null, biasUncertainty: null, scatter: null, shownUncertainty: null, gaps };
  }
  const compared = pairs.map((pair) => compare(pair, relativeSd));
  const { mean: bias, sd: scatter } = sampleOf(compared.map(({ difference }) => difference));
  const bench = sampleOf(compared.map(({ stated }) => stated)).mean;
  const ofReferences = sampleOf(compared.map(({ referenceVariance }) => referenceVariance)).mean;
  const biasUncertainty = Math.sqrt(square(Math.max(bench, MIN_BENCH * relativeSd)) + ofReferences / pairs.length);
  const limit = Math.min(
    Math.max(MAX_BIAS_UNCERTAINTIES * biasUncertainty, MAX_LIKELY_BIAS_DEVIATIONS * relativeSd),
    MAX_BIAS_DEVIATIONS * relativeSd,
  );
  const gaps: RecordGap[] = [];
  if (pairs.length < MIN_PACKS) gaps.push("packs");
  if (partners < MIN_PARTNERS) gaps.push("partners");
  if (Math.abs(bias) > limit) gaps.push("bias");
  if (scatter !== null && scatter > MAX_SCATTER * relativeSd) gaps.push("scatter");
  const shownUncertainty = pairs.length < MIN_PACKS ? null : shownUncertaintyOf(compared);
  return { ...counted, bias, biasUncertainty, scatter, shownUncertainty, gaps };
}

interface Compared {
  readonly difference: number;
  readonly stated: number;
  readonly referenceVariance: number;
}

function compare({ value, statedUncertainty, references }: RecordPair, relativeSd: number): Compared {
  const reference = median(references.map((one) => one.value));
  const size = Math.abs(reference) || Number.MIN_VALUE;
  return {
    difference: (value - reference) / size,
    stated: statedUncertainty / size,
    referenceVariance: square(relativeSd) / references.length + square(SPECIMENS * relativeSd),
  };
}

/** The root mean square of the differences, less what the reference testers add, where the stated uncertainty cannot explain them. */
function shownUncertaintyOf(compared: readonly Compared[]): number | null {
  const chiSquared = compared.reduce(
    (sum, { difference, stated, referenceVariance }) => sum + square(difference) / (square(stated) + referenceVariance),
    0,
  );
  const count = compared.length;
  if (chiSquared / count <= fisherQuantile(CONTRADICTED_LEVEL, count, AS_GOOD_AS_INFINITE)) return null;
  const excess = compared.reduce((sum, one) => sum + square(one.difference) - one.referenceVariance, 0) / count;
  return Math.sqrt(Math.max(0, excess));
}
