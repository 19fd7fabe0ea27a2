import type { Trace } from "../model.js";
import { type Agreement, compareTraces } from "./alignment.js";

/** Version of how copies are found. Raise it with every change that can find others. */
export const COPY_METHOD = "2";

/**
 * From this score on a correlation is no chance. A normal deviate exceeds it with a probability of 3.2e-14; a search tries at
 * most some 30,000 alignments (candidates, lags, channels, ways of reading), so it calls independent runs a copy with a
 * probability of at most about 1e-9.
 */
export const MIN_SCORE = 7.5;
/** In long traces what is common to two benches, such as the mains, may be no chance and yet little: less is no copy. */
export const MIN_CORRELATION = 0.3;
/** Where digits make most of both residuals, like courses give like residuals: there only what is nearly the same is a copy. */
export const MIN_COARSE_CORRELATION = 0.9;

/** Where a candidate may lie: time in the one less time in the other, known to within `withinS`; s. */
export interface CandidateLag {
  readonly lagS: number;
  readonly withinS: number;
}

/** Whether two channels agree as only one measurement agrees with itself. */
export function isSameMeasurement({ score, correlation, coarse }: Agreement): boolean {
  return score >= MIN_SCORE && correlation >= (coarse ? MIN_COARSE_CORRELATION : MIN_CORRELATION);
}

/** The agreements, by channel, that show two traces to be one measurement; none when nothing does. */
export function copyEvidence(one: Trace, other: Trace, lags: readonly CandidateLag[]): Agreement[] {
  const agreements = lags.flatMap(({ lagS, withinS }) => compareTraces(one, other, lagS, withinS));
  const shown = agreements.filter(isSameMeasurement).sort((a, b) => b.score - a.score);
  return shown.filter(({ channel }, i) => shown.findIndex((found) => found.channel === channel) === i);
}
