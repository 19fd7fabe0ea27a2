import type { Trace } from "../model.js";
import { plus, sumOf, within } from "../numerics/each-value.js";
import { meansAlong, valuesAlong } from "../trace/readings-along.js";
import { indexAtOrAfter } from "../trace/series.js";
import { isCoarse } from "./coarse.js";
import { correlationOf, scoreOf } from "./correlation.js";
import { lessParabola, parabolaWeights } from "./parabola.js";
import { type CopyChannel, loadedStretch, RESIDUAL_CHANNELS, type ResidualChannel, standardised } from "./residual.js";

/** After the load begins, this long nothing is compared, s: there the same pack does the same every time. */
const SETTLING_S = 5;
/** Taken out of each sample is the parabola through this many neighbours on each side. */
const NEIGHBOURS = 6;
const PARABOLA = parabolaWeights(NEIGHBOURS);
/** Residuals count up to this many standard deviations, so that no single event decides. */
const MAX_DEVIATION = 3;
/** Most samples compared, from the middle of what both traces have; fewer than the least say nothing. */
const MAX_SAMPLES = 4000;
const MIN_SAMPLES = 64;
/** Lags tried per step of the finer trace. */
const LAGS_PER_STEP = 4;

/** In long traces what is common to two benches, such as the mains, may be no chance and yet little: less is no copy. */
export const MIN_CORRELATION = 0.3;
/**
 * So many samples in the middle are looked at first, where there are twice as many. What correlates by `MIN_CORRELATION` as a whole does so there by
 * this at least: below it by four standard deviations of so many samples.
 */
const SCREENED_SAMPLES = 512;
const MIN_SCREENED_CORRELATION = 0.12;

/** How far two traces agree in what is not their smooth course. */
export interface Agreement {
  readonly channel: CopyChannel;
  /** Correlation of the residuals, -1 to 1; of a load's own course, the mean cosine of the differences of phase. */
  readonly correlation: number;
  /** The correlation in its standard deviations between independent traces of the same spectra. */
  readonly score: number;
  /** Time in `one` less the time of the same event in `other`, s. */
  readonly lagS: number;
  /** Time that passes in `other` for each second in `one`. */
  readonly stretch: number;
  /** Length of what was compared, s, and the samples in it. */
  readonly overlapS: number;
  readonly samples: number;
  /** Mean of `one` over that of `other` there. */
  readonly gain: number;
  /** Both are written so coarsely that their digits, not their noise, make most of the residual. */
  readonly coarse: boolean;
}

/**
 * Compares two traces around a lag that is known to within `withinS`, channel by channel: the samples of the one with the
 * lower rate against the other one, interpolated at their instants or averaged around them, whichever agrees better.
 *
 * @returns the agreement of each channel at its best lag; a channel without noise, with too little in common, or that agrees less than copies do
 * (`MIN_CORRELATION`) is left out
 */
export function compareTraces(one: Trace, other: Trace, lagS: number, withinS: number): Agreement[] {
  if (loadedStretch(one).stepS < loadedStretch(other).stepS) {
    const turned = compareTraces(other, one, -lagS, withinS);
    return turned.map((found) => ({ ...found, lagS: -found.lagS, gain: 1 / found.gain }));
  }
  const { from, to } = inCommon(one, other, lagS, withinS);
  if (to - from < MIN_SAMPLES) return [];
  return RESIDUAL_CHANNELS.flatMap((channel) => {
    const agreement = compareChannel(one, other, channel, { from, to, lagS, withinS });
    return agreement ? [agreement] : [];
  });
}

interface Search {
  /** Samples of the coarser trace, `to` excluded. */
  readonly from: number;
  readonly to: number;
  readonly lagS: number;
  readonly withinS: number;
}

function compareChannel(one: Trace, other: Trace, channel: ResidualChannel, search: Search): Agreement | null {
  if (!passesScreening(one, other, channel, search)) return null;
  const best = bestAlignment(one, other, channel, search);
  if (!best || best.correlation < MIN_CORRELATION) return null;
  const { from, to } = search;
  return {
    channel,
    correlation: best.correlation,
    score: scoreOf(best.ownResidual, best.residual, best.correlation),
    lagS: best.lagS,
    stretch: 1,
    overlapS: (one.time[to - 1] as number) - (one.time[from] as number),
    samples: to - from,
    gain: sumOf(one[channel].subarray(from, to)) / sumOf(best.values),
    coarse: isCoarse(one, channel) && isCoarse(other, channel),
  };
}

/** Whether a look at the middle leaves it possible that the whole is a copy. */
function passesScreening(one: Trace, other: Trace, channel: ResidualChannel, search: Search): boolean {
  const { from, to } = search;
  if (to - from < 2 * SCREENED_SAMPLES) return true;
  const middle = from + ((to - from - SCREENED_SAMPLES) >> 1);
  const best = bestAlignment(one, other, channel, { ...search, from: middle, to: middle + SCREENED_SAMPLES });
  return best !== null && best.correlation >= MIN_SCREENED_CORRELATION;
}

interface Alignment {
  readonly correlation: number;
  readonly lagS: number;
  /** The other trace at the samples of the one, and the residuals of both. */
  readonly values: Float64Array;
  readonly residual: Float64Array;
  readonly ownResidual: Float64Array;
}

/** Of all lags and both ways of reading the one that correlates most; null without noise. */
function bestAlignment(one: Trace, other: Trace, channel: ResidualChannel, search: Search): Alignment | null {
  const { from, to, lagS, withinS } = search;
  const time = one.time.subarray(from, to);
  const ownResidual = residualOfSamples(one[channel].subarray(from, to));
  if (!ownResidual) return null;
  const halfStep = loadedStretch(one).stepS / 2;
  const lagStep = loadedStretch(other).stepS / LAGS_PER_STEP;
  const reach = Math.ceil(withinS / lagStep);
  let best: Alignment | null = null;
  for (let k = -reach; k <= reach; k++) {
    const lag = lagS + k * lagStep;
    const instants = plus(time, -lag);
    for (let way = 0; way < 2; way++) {
      const values =
        way === 0
          ? valuesAlong(other.time, other[channel], instants)
          : meansAlong(other.time, other[channel], instants, halfStep);
      const residual = residualOfSamples(values);
      if (!residual) continue;
      const correlation = correlationOf(ownResidual, residual);
      if (best === null || correlation > best.correlation) {
        best = { correlation, lagS: lag, values, residual, ownResidual };
      }
    }
  }
  return best;
}

/** The samples of `one` that lie under load in both, whatever the lag within its range. */
function inCommon(one: Trace, other: Trace, lagS: number, withinS: number): { from: number; to: number } {
  const [own, others] = [loadedStretch(one), loadedStretch(other)];
  const halfStep = loadedStretch(one).stepS / 2;
  const fromS = Math.max(own.fromS, others.fromS + lagS + withinS + halfStep) + SETTLING_S;
  const toS = Math.min(own.toS, others.toS + lagS - withinS - halfStep);
  const [first, end] = [indexAtOrAfter(one.time, fromS), indexAtOrAfter(one.time, toS)];
  const surplus = Math.max(0, end - first - MAX_SAMPLES);
  const from = first + (surplus >> 1);
  return { from, to: Math.min(end, from + MAX_SAMPLES) };
}

/** Each sample less the parabola that fits its neighbourhood best, in robust standard deviations; null where nothing is left. */
function residualOfSamples(values: Float64Array): Float64Array | null {
  const residual = new Float64Array(Math.max(0, values.length - 2 * NEIGHBOURS));
  for (let i = 0; i < residual.length; i++) residual[i] = lessParabola(values, i, PARABOLA);
  const standard = standardised(residual, values);
  return standard && within(standard, MAX_DEVIATION);
}
