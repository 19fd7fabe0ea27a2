import { square } from "../numerics/square.js";
import { type AnalysisOfVariance, oneWay } from "./analysis-of-variance.js";
import { fisherQuantile, studentQuantile } from "./quantiles.js";
import { type Sample, sampleOf } from "./sample.js";

/** How one tester's results stand beside those of the others. */
export interface TesterAgreement {
  readonly testerId: string;
  readonly runs: number;
  readonly mean: number;
  /** Standard deviation of the tester's own repeats; null for a single run. */
  readonly sd: number | null;
  /** Distance of the mean from the mean of all testers, in standard deviations of the testers' means. */
  readonly h: number | null;
  /** Own standard deviation over the repeatability standard deviation. */
  readonly k: number | null;
  /** Above this k, the tester's scatter is not that of the others, at 0.5 %. */
  readonly kCritical: number | null;
  /** Whether |h| or k is above its critical value. */
  readonly deviates: boolean;
}

/** How well the testers of one pack agree on one figure, from their results alone: stated uncertainties play no part. */
export interface Agreement {
  /** Standard deviation of repeats by one tester; null when no tester repeated. */
  readonly repeatabilitySd: number | null;
  /** Standard deviation of single results of different testers; null for a single tester. */
  readonly reproducibilitySd: number | null;
  /** Above this |h|, a tester's mean is not among those of the others, at 0.5 %; null below three testers. */
  readonly hCritical: number | null;
  readonly testers: readonly TesterAgreement[];
}

export interface TesterValues {
  readonly testerId: string;
  /** At least one. */
  readonly values: readonly number[];
}

/** Share of testers like the others that the critical values flag all the same: ASTM E691's. */
const FLAGGED_SHARE = 0.005;
const MIN_FOR_H = 3;

/**
 * Repeatability and reproducibility standard deviations, and the consistency statistics h and k of each tester.
 *
 * s_r is pooled over the testers' repeats; s_R^2 = s_r^2 + s_L^2 with s_L^2 = (MS_between - MS_within) / n, not below
 * zero, n being the mean number of repeats that unequal numbers of them leave. Critical values from Student's t (h)
 * and Fisher's F (k). Where nobody repeated, s_R is the standard deviation of the testers' results.
 *
 * Source: ISO 5725-2 (unequal numbers of repeats), ASTM E691 (h, k; equal numbers); clauses not at hand, formulas from
 * memory and held to E691's glucose data.
 */
export function agreementOf(testers: readonly TesterValues[]): Agreement {
  const analysis = oneWay(testers.map(({ values }) => values));
  const means = sampleOf(analysis.groups.map(({ mean }) => mean));
  const { within } = analysis;
  const repeatabilitySd = within.degreesOfFreedom > 0 ? Math.sqrt(within.squares / within.degreesOfFreedom) : null;
  const hCritical = criticalH(testers.length);
  return {
    repeatabilitySd,
    reproducibilitySd: reproducibility(analysis, means),
    hCritical,
    testers: testers.map(({ testerId }, i) => {
      const own = analysis.groups[i] as Sample;
      const h = hCritical !== null && means.sd ? (own.mean - means.mean) / means.sd : null;
      const k = repeatabilitySd && own.sd !== null ? own.sd / repeatabilitySd : null;
      const kCritical = criticalK(own.count - 1, within.degreesOfFreedom);
      const deviates = exceeds(h, hCritical) || exceeds(k, kCritical);
      return { testerId, runs: own.count, mean: own.mean, sd: own.sd, h, k, kCritical, deviates };
    }),
  };
}

function reproducibility({ groups, between, within }: AnalysisOfVariance, means: Sample): number | null {
  if (within.degreesOfFreedom === 0 || means.sd === null) return means.sd;
  const repeatabilityVariance = within.squares / within.degreesOfFreedom;
  const count = groups.reduce((sum, group) => sum + group.count, 0);
  const squaredCounts = groups.reduce((sum, group) => sum + square(group.count), 0);
  const repeats = (count - squaredCounts / count) / between.degreesOfFreedom;
  const betweenVariance = (between.squares / between.degreesOfFreedom - repeatabilityVariance) / repeats;
  return Math.sqrt(repeatabilityVariance + Math.max(0, betweenVariance));
}

/** h of p testers is at most (p - 1) / sqrt(p); what chance leaves below that follows from t with p - 2 degrees of freedom. */
function criticalH(testers: number): number | null {
  if (testers < MIN_FOR_H) return null;
  const t = studentQuantile(1 - FLAGGED_SHARE / 2, testers - 2);
  return ((testers - 1) * t) / Math.sqrt(testers * (testers - 2 + t * t));
}

/**
 * k^2 of a tester compares the own variance with that of all pooled; own over the others' is distributed as F. For equal
 * numbers of repeats this is E691's sqrt(p / (1 + (p - 1) / F)).
 */
function criticalK(own: number, all: number): number | null {
  const others = all - own;
  if (own < 1 || others < 1) return null;
  const ratio = fisherQuantile(1 - FLAGGED_SHARE, own, others);
  return Math.sqrt(all / (own + others / ratio));
}

const exceeds = (value: number | null, critical: number | null): boolean =>
  value !== null && critical !== null && Math.abs(value) > critical;
