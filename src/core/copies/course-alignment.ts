import type { Trace } from "../model.js";
import type { Agreement } from "./alignment.js";
import type { CandidateLag } from "./candidate-lag.js";
import { isCoarse } from "./coarse.js";
import { Fourier, type Spectrum } from "./fourier.js";
import { loadCourse } from "./load-course.js";
import { lessLocalLine } from "./local-line.js";
import { cellMeans, type Grid, loadedStretch, standardised } from "./residual.js";

/** After the load begins and before it ends, this long nothing is compared, s. */
const SETTLING_S = 5;
const ENDING_S = 2;
/** Points of the grid on which courses are compared at most; fewer than the least say nothing. */
const MAX_POINTS = 1024;
const MIN_POINTS = 128;
/** The bell of the trend that is taken out, as a share of the length, and the periods in the length from which on a frequency is compared. */
const TREND_SHARE = 1 / 30;
const MIN_PERIODS = 8;
/** Each band of frequencies reaches to this share of the one before; the narrowest to so many times its lowest frequency at least. */
const BAND_SHARE = 1 / 4;
const MIN_BAND = 3;
/** Residuals count up to this many standard deviations, so that no single event decides. */
const MAX_DEVIATION = 3;
/** Clocks of copies are tried from so much faster to so much slower. */
export const MAX_STRETCH = 0.035;
/** Steps of the grid by which the ends may be off between two clocks that are tried. */
const STEPS_OFF = 0.7;

/** Of so many parts all but one must agree by themselves, by so many standard deviations: else one event makes the agreement. */
const PARTS = 4;
const MIN_PART_SCORE = 2;

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
 * @returns the best agreement; null without enough in common, or where a load shows nothing of its own
 */
export function compareCourses(one: Trace, other: Trace, candidate: CandidateLag): Agreement | null {
  const overlap = overlapOf(one, other, candidate);
  if (!overlap) return null;
  const { fromS, points, stepS, lagS, reachS } = overlap;
  const toS = fromS + points * stepS;
  const own = residualOf(one, fromS, toS, stepS);
  const others = residualOf(other, fromS - lagS - reachS, toS - lagS + reachS, stepS / 2);
  if (!own || !others) return null;
  const fourier = new Fourier(2 ** Math.ceil(Math.log2(points + reachS / stepS)));
  const bell = bellOf(points);
  const ownSpectrum = fourier.of(own.values.map((value, i) => value * (bell[i] as number)));
  const clockStep = (2 * STEPS_OFF) / points;
  const clocks = Math.ceil(MAX_STRETCH / clockStep);
  const bands = bandsOf(fourier.length, points);
  let best: Best = { score: Number.NEGATIVE_INFINITY, coherence: 0, lag: 0, stretch: 1, band: bands[0] as Band };
  for (let clock = -clocks; clock <= clocks; clock++) {
    const stretch = 1 + clock * clockStep;
    const phases = phaseDifferences(
      ownSpectrum,
      fourier.of(resampled(others, overlap, stretch).map((value, i) => value * (bell[i] as number))),
      bands[0] as Band,
    );
    for (const band of bands) {
      const peak = highestPeak(phases, band, fourier, Math.ceil(reachS / stepS));
      if (peak.score > best.score) best = { ...peak, stretch, band };
    }
  }
  const weakest = weakestPart(own.values, others, overlap, best, fourier.length);
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
  return values && { ...grid, values: values.map((one) => Math.max(-MAX_DEVIATION, Math.min(MAX_DEVIATION, one))) };
}

/** The other residual at the points of the own one, its clock slower by `stretch`; nothing where it has nothing. */
function resampled(grid: Grid, { fromS, points, stepS, lagS }: Overlap, stretch: number): Float64Array {
  const middleS = fromS + (points * stepS) / 2;
  return Float64Array.from({ length: points }, (_, i) => {
    const t = middleS - lagS + (fromS + (i + 0.5) * stepS - middleS) * stretch;
    const place = (t - grid.startS) / grid.stepS;
    const first = Math.floor(place);
    if (first < 0 || first + 1 >= grid.values.length) return 0;
    const [before, after] = [grid.values[first] as number, grid.values[first + 1] as number];
    return before + (place - first) * (after - before);
  });
}

/** The window of J. von Hann, 1 - cos: a strong hum then shows at its own frequency and a few beside it, and not at all of them. */
const bellOf = (points: number): Float64Array =>
  Float64Array.from({ length: points }, (_, i) => 1 - Math.cos((2 * Math.PI * (i + 0.5)) / points));

/** Frequencies, `to` excluded. */
interface Band {
  readonly from: number;
  readonly to: number;
}

/** All frequencies that are compared, then ever slower ones. */
function bandsOf(length: number, points: number): Band[] {
  const from = Math.ceil((MIN_PERIODS * length) / points);
  const bands: Band[] = [];
  for (let to = length / 2; to >= MIN_BAND * from; to = Math.floor(to * BAND_SHARE)) bands.push({ from, to });
  return bands;
}

/** By how much the one's phase is ahead at each frequency of the band, as a number of the length 1. */
function phaseDifferences(one: Spectrum, other: Spectrum, { from, to }: Band): Spectrum {
  const phases = { re: new Float64Array(one.re.length), im: new Float64Array(one.re.length) };
  for (let k = from; k < to; k++) {
    const [a, b, c, d] = [one.re[k] as number, one.im[k] as number, other.re[k] as number, other.im[k] as number];
    const [re, im] = [a * c + b * d, b * c - a * d];
    const size = Math.hypot(re, im);
    if (size === 0) continue;
    phases.re[k] = re / size;
    phases.im[k] = im / size;
  }
  return phases;
}

interface Best extends Peak {
  readonly stretch: number;
  readonly band: Band;
}

/** The score of the weakest part but one, at the lag and clock that were found for the whole. */
function weakestPart(own: Float64Array, others: Grid, overlap: Overlap, best: Best, length: number): number {
  const { stretch, lag, band } = best;
  const aligned = resampled(others, { ...overlap, lagS: overlap.lagS + lag * overlap.stepS }, stretch);
  const size = Math.floor(overlap.points / PARTS);
  const fourier = new Fourier(2 ** Math.ceil(Math.log2(size)));
  const share = fourier.length / length;
  const part = { from: Math.max(1, Math.floor(band.from * share)), to: Math.ceil(band.to * share) };
  const bell = bellOf(size);
  const scores = Array.from({ length: PARTS }, (_, k) => {
    const [one, other] = [own, aligned].map((values) =>
      fourier.of(values.slice(k * size, (k + 1) * size).map((value, i) => value * (bell[i] as number))),
    ) as [Spectrum, Spectrum];
    return highestPeak(phaseDifferences(one, other, part), part, fourier, 0).score;
  });
  return scores.sort((a, b) => a - b)[1] as number;
}

interface Peak {
  /** In its standard deviations over all lags. */
  readonly score: number;
  /** Mean cosine of the differences of phase. */
  readonly coherence: number;
  /** Steps by which the one is later. */
  readonly lag: number;
}

/** The lag within `reach` steps at which the phases of a band agree best. */
function highestPeak(phases: Spectrum, { from, to }: Band, fourier: Fourier, reach: number): Peak {
  const re = new Float64Array(fourier.length);
  const im = new Float64Array(fourier.length);
  re.set(phases.re.subarray(from, to), from);
  // The transform of the conjugate is the inverse transform.
  for (let k = from; k < to; k++) im[k] = -(phases.im[k] as number);
  fourier.transform({ re, im });
  let [squares, lag] = [0, 0];
  for (let k = 0; k < re.length; k++) {
    squares += (re[k] as number) ** 2;
    if ((k <= reach || k >= re.length - reach) && (re[k] as number) > (re[lag] as number)) lag = k;
  }
  const height = re[lag] as number;
  return {
    score: height / Math.sqrt(squares / re.length),
    coherence: height / (to - from),
    lag: lag > re.length / 2 ? lag - re.length : lag,
  };
}

/** Mean current of the one over that of the other. */
function gainOf(one: Trace, other: Trace, fromS: number, toS: number, lagS: number): number {
  const level = ({ time, current }: Trace, from: number, to: number) =>
    cellMeans(time, current, from, to, to - from).values[0] as number;
  const others = loadedStretch(other);
  return level(one, fromS, toS) / level(other, Math.max(others.fromS, fromS - lagS), Math.min(others.toS, toS - lagS));
}
