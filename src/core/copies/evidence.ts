import type { Trace } from "../model.js";
import { type Agreement, compareTraces, MIN_CORRELATION } from "./alignment.js";
import type { CandidateLag } from "./candidate-lag.js";
import { compareCourses } from "./course-alignment.js";
import { loadedStretch } from "./residual.js";

/** Version of how copies are found. Raise it with every change that can find others. */
export const COPY_METHOD = "3";

/**
 * From this score on a correlation is no chance. A normal deviate exceeds it with a probability of 3.2e-14; a search tries at
 * most some 30,000 alignments (candidates, lags, channels, ways of reading), so it calls independent runs a copy with a
 * probability of at most about 1e-9.
 */
export const MIN_SCORE = 7.5;
/** Where digits make most of both residuals, like courses give like residuals: there only what is nearly the same is a copy. */
export const MIN_COARSE_CORRELATION = 0.9;

/**
 * From this score on what two loads did by themselves is one and the same. Slow courses have heavier tails than independent samples: of
 * 960 simulated honest pairs on one bench with one pack, 99 % scored below 5.9 and the highest was 7.5.
 */
export const MIN_COURSE_SCORE = 9;
/** Loads that regulate alike, or hum alike, may agree in little. */
export const MIN_COURSE_CORRELATION = 0.15;
/** Of clocks nearer to each other than this, samples can be compared one by one. */
const SAME_CLOCK = 1e-4;

/** Two runs of one pack, whose loads began at the same instant of their traces. */
export const WITHOUT_HINT: CandidateLag = { lagS: 0, withinS: 3, byCourse: true };

/** Whether two channels agree as only one measurement agrees with itself. */
export function isSameMeasurement({ channel, score, correlation, coarse }: Agreement): boolean {
  const [minScore, minCorrelation] =
    channel === "load" ? [MIN_COURSE_SCORE, MIN_COURSE_CORRELATION] : [MIN_SCORE, MIN_CORRELATION];
  return score >= minScore && correlation >= (coarse ? MIN_COARSE_CORRELATION : minCorrelation);
}

/**
 * The agreements, by channel, that show two traces to be one measurement; none when nothing does. Samples are compared first, and
 * the loads' own courses where those show nothing.
 */
export function copyEvidence(one: Trace, other: Trace, lags: readonly CandidateLag[]): Agreement[] {
  const bySamples = lags.filter(({ byCourse }) => !byCourse);
  const shown = bestByChannel(bySamples.flatMap(({ lagS, withinS }) => compareTraces(one, other, lagS, withinS)));
  if (shown.length > 0) return shown;
  const byCourses = lags.filter(({ byCourse }) => byCourse);
  const likely = byCourses.length > 0 ? byCourses : bySamples;
  const byCourse = bestByChannel(likely.flatMap((lag) => compareCourses(one, other, lag, MIN_COURSE_SCORE) ?? []));
  const withSamples = byCourse.flatMap(({ stretch, lagS }) =>
    Math.abs(stretch - 1) < SAME_CLOCK ? compareTraces(one, other, lagS, loadedStretch(one).stepS) : [],
  );
  return bestByChannel([...byCourse, ...withSamples]);
}

/** Of what shows one measurement, the surest of each channel. */
function bestByChannel(agreements: readonly Agreement[]): Agreement[] {
  const shown = agreements.filter(isSameMeasurement).sort((a, b) => b.score - a.score);
  return shown.filter(({ channel }, i) => shown.findIndex((found) => found.channel === channel) === i);
}
