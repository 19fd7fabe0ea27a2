import type { CandidateLag } from "./evidence.js";
import { type CopyHashes, KIND_SHIFT } from "./hashes.js";
import { pointSeconds } from "./windows.js";

/** Hashes of another trace at one lag from which on the two are compared, and lags at which they are, at most. */
export const MIN_SHARED_HASHES = 2;
const MAX_LAGS = 3;
/** Points of a kind within which two lags are one. */
const LAG_POINTS = 2;

interface Hit extends CandidateLag {
  readonly indexed: number;
}

/**
 * The lags (offset in `indexed` minus offset in `query`) at which query hashes meet indexed ones, those with most hashes first.
 */
export function sharedLags(indexed: CopyHashes, query: CopyHashes): CandidateLag[] {
  let hits = hitsOf(indexed, query);
  const lags: CandidateLag[] = [];
  while (lags.length < MAX_LAGS && hits.length > 0) {
    const near = hits.map((centre) => hits.filter((hit) => isNear(hit, centre)));
    const best = near.reduce((most, some) => (wordsAmong(some) > wordsAmong(most) ? some : most));
    if (wordsAmong(best) < MIN_SHARED_HASHES) break;
    const { lagS, withinS } = best.reduce((finest, hit) => (hit.withinS < finest.withinS ? hit : finest));
    lags.push({ lagS, withinS });
    hits = hits.filter((hit) => !best.includes(hit));
  }
  return lags;
}

const isNear = (one: Hit, other: Hit): boolean =>
  Math.abs(one.lagS - other.lagS) <= Math.max(one.withinS, other.withinS);

const wordsAmong = (hits: readonly Hit[]): number => new Set(hits.map(({ indexed }) => indexed)).size;

/** One hit per indexed hash and lag. */
function hitsOf(indexed: CopyHashes, query: CopyHashes): Hit[] {
  const offsets = new Map<number, number[]>();
  indexed.hashes.forEach((hash, i) => {
    offsets.set(hash, [...(offsets.get(hash) ?? []), i]);
  });
  const hits = new Map<string, Hit>();
  query.hashes.forEach((hash, i) => {
    for (const index of offsets.get(hash) ?? []) {
      const points = (indexed.offsets[index] as number) - (query.offsets[i] as number);
      const pointS = pointSeconds(hash >> KIND_SHIFT);
      hits.set(`${index} ${points}`, { indexed: index, lagS: points * pointS, withinS: LAG_POINTS * pointS });
    }
  });
  return [...hits.values()];
}
