import type { CandidateLag } from "./evidence.js";
import { pointSeconds } from "./looks.js";
import { type CopyWords, KIND_SHIFT } from "./words.js";

/** Words of another trace at one lag from which on the two are compared, and lags at which they are, at most. */
export const LEAST_SHARED_WORDS = 2;
const MOST_LAGS = 3;
/** Points of a kind within which two lags are one. */
const LAG_POINTS = 2;

interface Hit extends CandidateLag {
  readonly kept: number;
}

/**
 * The lags, place in `kept` less place in `sought`, at which kept words are found by sought ones, those with most words first.
 */
export function sharedLags(kept: CopyWords, sought: CopyWords): CandidateLag[] {
  let hits = hitsOf(kept, sought);
  const lags: CandidateLag[] = [];
  while (lags.length < MOST_LAGS && hits.length > 0) {
    const near = hits.map((centre) => hits.filter((hit) => isNear(hit, centre)));
    const best = near.reduce((most, some) => (wordsAmong(some) > wordsAmong(most) ? some : most));
    if (wordsAmong(best) < LEAST_SHARED_WORDS) break;
    const { lagS, withinS } = best.reduce((finest, hit) => (hit.withinS < finest.withinS ? hit : finest));
    lags.push({ lagS, withinS });
    hits = hits.filter((hit) => !best.includes(hit));
  }
  return lags;
}

const isNear = (one: Hit, other: Hit): boolean =>
  Math.abs(one.lagS - other.lagS) <= Math.max(one.withinS, other.withinS);

const wordsAmong = (hits: readonly Hit[]): number => new Set(hits.map(({ kept }) => kept)).size;

/** One hit for each kept word and lag at which it is found. */
function hitsOf(kept: CopyWords, sought: CopyWords): Hit[] {
  const places = new Map<number, number[]>();
  kept.words.forEach((word, i) => {
    places.set(word, [...(places.get(word) ?? []), i]);
  });
  const hits = new Map<string, Hit>();
  sought.words.forEach((word, i) => {
    for (const index of places.get(word) ?? []) {
      const points = (kept.places[index] as number) - (sought.places[i] as number);
      const pointS = pointSeconds(word >> KIND_SHIFT);
      hits.set(`${index} ${points}`, { kept: index, lagS: points * pointS, withinS: LAG_POINTS * pointS });
    }
  });
  return [...hits.values()];
}
