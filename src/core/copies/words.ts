import type { Trace } from "../model.js";
import { type Looks, looksAt, pointSeconds, SIGNS } from "./looks.js";

const CHANNEL_BIT = SIGNS;
const KIND_BIT = SIGNS + 1;

/** Beyond this many standard deviations something happened to the load; no word is made of it. */
const LARGEST_DEVIATION = 6;
/** Words kept of each channel and kind. */
const WORDS_KEPT = 36;
/** The weakest signs of a word that a search tries both ways. */
const SIGNS_TRIED = 3;

/** Words of a trace, one a place. Arrays have the same length. */
export interface CopyWords {
  /** The signs of a residual at 22 points, with the channel and the kind of residual in the upper bits. */
  readonly words: Int32Array;
  /** Place of each, in points of its kind from the time origin of the trace. */
  readonly places: Int32Array;
}

/**
 * The words to keep of a trace: in each part of it those whose signs are the surest. None for a trace that is too short, or
 * that has no noise.
 */
export function wordsToKeep(trace: Trace): CopyWords {
  return collected(trace, (looks, add) => {
    const sureness = surenessOf(looks);
    for (let part = 0; part < WORDS_KEPT; part++) {
      const from = Math.floor((part * sureness.length) / WORDS_KEPT);
      const to = Math.floor(((part + 1) * sureness.length) / WORDS_KEPT);
      let best = from;
      for (let at = from; at < to; at++) if ((sureness[at] as number) > (sureness[best] as number)) best = at;
      if (from < to && sureness[best] !== Number.NEGATIVE_INFINITY) add(wordAt(looks, best), best);
    }
  });
}

/** Every word of a trace, each also with its weakest signs the other way round, to be looked up among the kept ones. */
export function wordsToSeek(trace: Trace): CopyWords {
  return collected(trace, (looks, add) => {
    surenessOf(looks).forEach((sureness, at) => {
      if (sureness === Number.NEGATIVE_INFINITY) return;
      const word = wordAt(looks, at);
      for (const turned of choicesOf(weakestSigns(looks, at))) add(word ^ turned, at);
    });
  });
}

/** How many bits of a word precede its kind: words of different kinds count places in different points. */
export const KIND_SHIFT = KIND_BIT;

/** Between two points of the places that words of a kind count, s. */
export const secondsPerPoint = pointSeconds;

function collected(trace: Trace, choose: (looks: Looks, add: (word: number, at: number) => void) => void): CopyWords {
  const words: number[] = [];
  const places: number[] = [];
  for (const looks of looksAt(trace)) {
    choose(looks, (word, at) => {
      words.push(word);
      places.push(looks.places[at] as number);
    });
  }
  return { words: Int32Array.from(words), places: Int32Array.from(places) };
}

/** Steps of a standard deviation in which the sureness of a sign is tabled. */
const STEPS = 32;
/**
 * Logarithm of the probability that a sign comes out again beside as much noise as there is residual, Phi(x) for a value of
 * x standard deviations; as 1/2 + 1/2 sqrt(1 - exp(-2 x^2 / pi)), within 0.004 (G. Polya, 1945; from memory): enough for a choice.
 */
const SURENESS = Float64Array.from({ length: LARGEST_DEVIATION * STEPS }, (_, i) => {
  const x = (i + 0.5) / STEPS;
  return Math.log(0.5 + 0.5 * Math.sqrt(1 - Math.exp((-2 * x * x) / Math.PI)));
});

/** For every place, how sure all signs of its word are; -Infinity where something happened to the load. */
function surenessOf({ places, values }: Looks): Float64Array {
  const sums = new Float64Array(places.length);
  for (let at = 0; at < sums.length; at++) {
    let sum = 0;
    for (let i = at * SIGNS; i < (at + 1) * SIGNS; i++) {
      sum += SURENESS[Math.floor(Math.abs(values[i] as number) * STEPS)] ?? Number.NEGATIVE_INFINITY;
    }
    sums[at] = sum;
  }
  return sums;
}

function wordAt({ kind, channel, values }: Looks, at: number): number {
  let word = (kind << KIND_BIT) | (channel << CHANNEL_BIT);
  for (let sign = 0; sign < SIGNS; sign++) if ((values[at * SIGNS + sign] as number) > 0) word |= 1 << sign;
  return word;
}

function weakestSigns({ values }: Looks, at: number): number[] {
  const weakest: number[] = [];
  const size = (sign: number) => Math.abs(values[at * SIGNS + sign] as number);
  for (let sign = 0; sign < SIGNS; sign++) {
    const rank = weakest.findIndex((one) => size(sign) < size(one));
    weakest.splice(rank < 0 ? weakest.length : rank, 0, sign);
    weakest.length = Math.min(weakest.length, SIGNS_TRIED);
  }
  return weakest;
}

/** Every choice among some signs, as the bits to turn; none first. */
function choicesOf(signs: readonly number[]): number[] {
  return signs.reduce<number[]>((all, sign) => all.concat(all.map((one) => one | (1 << sign))), [0]);
}
