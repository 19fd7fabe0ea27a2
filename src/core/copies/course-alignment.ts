import type { Trace } from "../model.js";
import { timesEach, within } from "../numerics/each-value.js";
import { cos } from "../numerics/library.js";
import { powerOfTwoFrom } from "../numerics/powers.js";
import type { Agreement } from "./alignment.js";
import type { CandidateLag } from "./candidate-lag.js";
import { isCoarse } from "./coarse.js";
import { fourierOf } from "./fourier.js";
import { loadCourse } from "./load-course.js";
import { lessLocalLine } from "./local-line.js";
import { BAND_SHARE, type Band, bandsOf, type Peak, PhasePeaks } from "./phase-peaks.js";
import { cellMeans, type Grid, loadedStretch, standardised } from "./residual.js";

/** After the load begins and before it ends, this long nothing is compared, s. */
const SETTLING_S = 5;
const ENDING_S = 2;
/** Points of the grid on which courses are compared at most; fewer than the least say nothing. */
const MAX_POINTS = 1024;
const MIN_POINTS = 128;
/** The bell of the trend that is taken out, as a share of the length. */
const TREND_SHARE = 1 / 30;
/** Residuals count up to this many standard deviations, so that no single event decides. */
const MAX_DEVIATION = 3;
/** Clocks of copies are tried from so much faster to so much slower. */
export const MAX_STRETCH = 0.035;
/** Steps of the grid by which the ends may be off between two clocks that are tried. */
const STEPS_OFF = 0.7;

/** A search that leaves out what neighbouring clocks say as well reaches this wherever a whole one reaches what is called a copy. */
const LIKELY_SCORE = 7;

/** Of so many parts all but one must agree by themselves, by so many standard deviations: else one event makes the agreement. */
const PARTS = 4;
const MIN_PART_SCORE = 2.8;

/** The level of a logarithm. */
const ONE = Float64Array.of(1);

interface Overlap {
  /** Where both have something, s of the one. */
  readonly fromS: number;
  readonly points: number;
  readonly stepS: number;
  readonly lagS: number;
  /** How far the lag in the middle may be off, s. */
  readonly reachS: number;
}

/**
 * Compares what two loads did by themselves (`loadCourse`), at any clock within `MAX_STRETCH` and any lag near the candidate's. Of each
 * frequency only the phase counts, so that neither noise of any colour nor a hum nor the size of an event decides: the mean cosine of
 * the differences of phase (generalised cross-correlation with phase transform, C. H. Knapp and G. C. Carter, IEEE Transactions
 * on Acoustics, Speech and Signal Processing 24 (1976) 320; from memory). It is held against its own scatter over all lags of the
 * same pair, in the band of frequencies that shows it best.
 *
 * @param minScore agreements that score less are not asked for
 * @returns the best agreement; null without enough in common, where a load shows nothing of its own, or where none scores as much
 */
export function compareCourses(
  one: Trace,
  other: Trace,
  candidate: CandidateLag,
  minScore = Number.NEGATIVE_INFINITY,
): Agreement | null {
  const overlap = overlapOf(one, other, candidate);
  if (!overlap) return null;
  const { fromS, points, stepS, lagS, reachS } = overlap;
  const toS = fromS + points * stepS;
  const own = residualOf(one, fromS, toS, stepS);
  const others = residualOf(other, fromS - lagS - reachS, toS - lagS + reachS, stepS / 2);
  if (!own || !others) return null;
  const best = bestAgreement(own.values, others, overlap);
  if (best.score < minScore) return null;
  const weakest = weakestPart(own.values, others, overlap, best);
  return {
    channel: "load",
    correlation: best.coherence,
    score: weakest < MIN_PART_SCORE ? Math.min(best.score, (PARTS * Math.max(0, weakest)) / 2) : best.score,
    lagS: lagS + best.lag * stepS,
    stretch: best.stretch,
    overlapS: points * stepS,
    samples: points,
    gain: gainOf(one, other, fromS, toS, lagS),
    coarse: isCoarse(one, "current") && isCoarse(other, "current"),
  };
}

interface Best extends Peak {
  readonly stretch: number;
  readonly band: Band;
}

const NONE: Best = { score: Number.NEGATIVE_INFINITY, coherence: 0, lag: 0, stretch: 1, band: { from: 0, to: 0 } };

/** Of all clocks, bands and lags the one that scores most. */
function bestAgreement(own: Float64Array, others: Grid, overlap: Overlap): Best {
  const { points, stepS, reachS } = overlap;
  const fourier = fourierFor(overlap);
  const bands = bandsOf(fourier.length, points);
  const phasePeaks = new PhasePeaks(fourier, bands, points, Math.ceil(reachS / stepS));
  const bell = bellOf(points);
  const ownSpectrum = fourier.of(timesEach(own, bell), fourier.room("own"));
  const pair = fourier.room("pair");
  const resampled = fourier.room("resampled").re.subarray(0, points);
  const clocks = stretchesOf(points);
  const narrowest = bands.length - 1;
  const bestOf = (narrowestAt: (at: number) => number): Best => {
    let best = NONE;
    // Two clocks at a time, the last one alone.
    for (let i = 0; i < clocks.length; i += 2) {
      pair.im.fill(0);
      for (let k = 0; k < 2 && i + k < clocks.length; k++) {
        resample(others, overlap, clocks[i + k] as number, bell, resampled);
        fourier.place(resampled, k === 0 ? pair.re : pair.im);
      }
      fourier.transformReversed(pair);
      const peaks = phasePeaks.of(ownSpectrum, pair, narrowestAt(i));
      for (let k = 0; k < 2 && i + k < clocks.length; k++)
        best = better(best, peaks[k] as Peak[], clocks[i + k] as number, bands);
    }
    return best;
  };
  const quick = bestOf((at) => (at + 2 < clocks.length ? narrowestWorthIt(at, narrowest) : narrowest));
  return quick.score < LIKELY_SCORE ? quick : bestOf(() => narrowest);
}

/** The best that was found before, or a higher peak of a band at this clock. */
function better(before: Best, peaks: readonly Peak[], stretch: number, bands: readonly Band[]): Best {
  let best = before;
  for (let at = 0; at < peaks.length; at++) {
    const peak = peaks[at] as Peak;
    if (peak.score > best.score) best = { ...peak, stretch, band: bands[at] as Band };
  }
  return best;
}

const fourierFor = ({ points, reachS, stepS }: Overlap) => fourierOf(powerOfTwoFrom(points + reachS / stepS));

/**
 * The narrowest band that says more at a clock than at those before: each holds a quarter of the frequencies of the one before, and takes four times as
 * many steps between two clocks for as much to be lost.
 */
function narrowestWorthIt(at: number, most: number): number {
  let band = 0;
  for (let every = 1 / BAND_SHARE; band < most && at % every === 0; every /= BAND_SHARE) band++;
  return band;
}

/** The clocks that are tried, the fastest first. */
function stretchesOf(points: number): number[] {
  const step = (2 * STEPS_OFF) / points;
  const clocks = Math.ceil(MAX_STRETCH / step);
  return Array.from({ length: 2 * clocks + 1 }, (_, i) => 1 + (i - clocks) * step);
}

function overlapOf(one: Trace, other: Trace, { lagS, withinS }: CandidateLag): Overlap | null {
  const [own, others] = [loadedStretch(one), loadedStretch(other)];
  const fromS = Math.max(own.fromS, others.fromS + lagS) + SETTLING_S;
  const toS = Math.min(own.toS, others.toS + lagS) - ENDING_S;
  const stepS = Math.max(own.stepS, others.stepS, (toS - fromS) / MAX_POINTS);
  const points = Math.floor((toS - fromS) / stepS);
  const reachS = withinS + MAX_STRETCH * Math.max(toS - fromS, Math.abs(toS));
  return points >= MIN_POINTS ? { fromS, points, stepS, lagS, reachS } : null;
}

/** The course within [fromS, toS], as far as it lies under load, less its trend, in robust standard deviations. */
function residualOf(trace: Trace, fromS: number, toS: number, stepS: number): Grid | null {
  const stretch = loadedStretch(trace);
  const course = loadCourse(trace);
  const [first, last] = [Math.max(fromS, stretch.fromS + SETTLING_S), Math.min(toS, stretch.toS - ENDING_S)];
  const grid = cellMeans(trace.time, course, first, last, stepS);
  const deviation = (TREND_SHARE * (toS - fromS)) / stepS;
  const residual = lessLocalLine(lessLocalLine(grid.values, deviation), deviation);
  const values = standardised(residual, ONE);
  return values && { ...grid, values: within(values, MAX_DEVIATION) };
}

/** Writes the other residual at the points of the own one, weighted, its clock slower by `stretch`; zeros where the other has nothing. */
function resample(
  { startS, stepS: otherStepS, values }: Grid,
  { fromS, points, stepS, lagS }: Overlap,
  stretch: number,
  weights: Float64Array,
  into: Float64Array,
): void {
  const middleS = fromS + (points * stepS) / 2;
  const first = (middleS - lagS - startS + (fromS + stepS / 2 - middleS) * stretch) / otherStepS;
  const step = (stepS * stretch) / otherStepS;
  for (let i = 0; i < points; i++) {
    const place = first + i * step;
    const cell = Math.floor(place);
    if (cell < 0 || cell + 1 >= values.length) {
      into[i] = 0;
      continue;
    }
    const before = values[cell] as number;
    into[i] = (before + (place - cell) * ((values[cell + 1] as number) - before)) * (weights[i] as number);
  }
}

/** The window of J. von Hann, 1 - cos: a strong hum then shows at its own frequency and a few beside it, and not at all of them. */
function bellOf(points: number): Float64Array {
  if (lastBell.length === points) return lastBell;
  lastBell = new Float64Array(points);
  for (let i = 0; i < points; i++) lastBell[i] = 1 - cos((2 * Math.PI * (i + 0.5)) / points);
  return lastBell;
}

/** Most comparisons are of `MAX_POINTS`. */
let lastBell = new Float64Array();

/** The score of the weakest part but one, at the lag and clock that were found for the whole. */
function weakestPart(own: Float64Array, others: Grid, overlap: Overlap, best: Best): number {
  const { stretch, lag, band } = best;
  const { points, stepS } = overlap;
  const aligned = new Float64Array(points);
  const unweighted = new Float64Array(points).fill(1);
  resample(others, { ...overlap, lagS: overlap.lagS + lag * stepS }, stretch, unweighted, aligned);
  const size = Math.floor(points / PARTS);
  const fourier = fourierOf(powerOfTwoFrom(size));
  const share = fourier.length / fourierFor(overlap).length;
  const part = { from: Math.max(1, Math.floor(band.from * share)), to: Math.ceil(band.to * share) };
  const atNoLag = new PhasePeaks(fourier, [part], size, 0);
  const bell = bellOf(size);
  const scores = Array.from({ length: PARTS }, (_, k) => {
    const [one, other] = [own, aligned].map((values) => timesEach(values.subarray(k * size, (k + 1) * size), bell)) as [
      Float64Array,
      Float64Array,
    ];
    return (atNoLag.of(fourier.of(one), fourier.of(other))[0][0] as Peak).score;
  });
  return scores.sort((a, b) => a - b)[1] as number;
}

/** Mean current of the one over that of the other. */
function gainOf(one: Trace, other: Trace, fromS: number, toS: number, lagS: number): number {
  const level = ({ time, current }: Trace, from: number, to: number) =>
    cellMeans(time, current, from, to, to - from).values[0] as number;
  const others = loadedStretch(other);
  return level(one, fromS, toS) / level(other, Math.max(others.fromS, fromS - lagS), Math.min(others.toS, toS - lagS));
}
