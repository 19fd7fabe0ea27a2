import type { Trace } from "../model.js";
import { SIGNS } from "./look-shape.js";
import { type LooksOfKind, looksAt } from "./looks.js";
import { SCALES_S } from "./smoothed-looks.js";
import { surenessOf, weakestSigns } from "./sureness.js";

const CHANNEL_BIT = SIGNS;
/** How many bits of a word precede its kind: words of different kinds count places in different points. */
export const KIND_SHIFT = SIGNS + 1;

/** Words kept of each channel, for a scale and for a unit: most alterations leave more of the former. */
const KEPT = { scale: 8, unit: 29 } as const;
/** Of so many places in a row, those with the surest words are sought: this share, and about so many of a kind at most. */
const ROW = 20;
const SOUGHT = { scale: 0.25, unit: 0.5 } as const;
const MOST_SOUGHT = 400;
/** The weakest signs of a word that a search tries both ways. */
const SIGNS_TRIED = 3;

/** Words of a trace, one a place. Arrays have the same length. */
export interface CopyWords {
  /** The signs of a residual at 25 points, with the channel and the kind of residual in the upper bits. */
  readonly words: Int32Array;
  /** Place of each, in points of its kind from the time origin of the trace. */
  readonly places: Int32Array;
}

/**
 * The words to keep of a trace: in each part of it the one whose signs are the surest. None for a trace that is too short, or
 * that has no noise.
 */
export function wordsToKeep(trace: Trace): CopyWords {
  return collected(trace, (looks, add) => {
    const sureness = surenessOf(looks.values);
    const parts = KEPT[familyOf(looks)];
    for (let part = 0; part < parts; part++) {
      const [from, to] = [part, part + 1].map((edge) => Math.floor((edge * sureness.length) / parts)) as [
        number,
        number,
      ];
      const [best] = surest(sureness, from, to);
      if (best !== undefined) add(wordAt(looks, best), best);
    }
  });
}

/** The words of a trace by whose like it may be found: the surer ones, each also with its weakest signs the other way round. */
export function wordsToSeek(trace: Trace): CopyWords {
  return collected(trace, (looks, add) => {
    const sureness = surenessOf(looks.values);
    const share = Math.min(SOUGHT[familyOf(looks)], MOST_SOUGHT / sureness.length);
    for (let from = 0; from < sureness.length; from += ROW) {
      const row = surest(sureness, from, Math.min(from + ROW, sureness.length));
      for (const at of row.slice(0, Math.ceil(share * row.length))) {
        const word = wordAt(looks, at);
        for (const turned of choicesOf(weakestSigns(looks.values, at, SIGNS_TRIED))) add(word ^ turned, at);
      }
    }
  });
}

const familyOf = ({ kind }: LooksOfKind) => (kind < SCALES_S.length ? "scale" : "unit");

/** Places within [from, to) at which nothing happened to the load, the surest first. */
function surest(sureness: Float64Array, from: number, to: number): number[] {
  const places = Array.from({ length: to - from }, (_, i) => from + i);
  const at = (place: number) => sureness[place] as number;
  return places.filter((place) => at(place) > Number.NEGATIVE_INFINITY).sort((a, b) => at(b) - at(a) || a - b);
}

function collected(
  trace: Trace,
  choose: (looks: LooksOfKind, add: (word: number, at: number) => void) => void,
): CopyWords {
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

function wordAt({ kind, channel, values }: LooksOfKind, at: number): number {
  let word = (kind << KIND_SHIFT) | (channel << CHANNEL_BIT);
  for (let sign = 0; sign < SIGNS; sign++) if ((values[at * SIGNS + sign] as number) > 0) word |= 1 << sign;
  return word;
}

/** Every choice among some signs, as the bits to turn; none first. */
function choicesOf(signs: readonly number[]): number[] {
  return signs.reduce<number[]>((all, sign) => all.concat(all.map((one) => one | (1 << sign))), [0]);
}
