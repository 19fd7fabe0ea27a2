import type { CandidateLag } from "./candidate-lag.js";
import { type CopyHashes, KIND_SHIFT } from "./hashes.js";
import { FIRST_COURSE, pointSeconds } from "./windows.js";

/** Hashes of another trace at one lag from which on the two are compared, and lags of each sort at which they are, at most. */
export const MIN_SHARED_HASHES = 2;
const MAX_LAGS = 3;
/** Points of a kind within which two lags are one; a load's own course is found with a clock that is nearly right. */
const LAG_POINTS = 2;
export const COURSE_LAG_POINTS = 16;

interface Hit extends CandidateLag {
  readonly indexed: number;
}

/**
 * The lags (offset in `indexed` minus offset in `query`) at which query hashes meet indexed ones, those with most hashes first: of
 * samples, then of what the loads did by themselves.
 */
export function sharedLags(indexed: CopyHashes, query: CopyHashes): CandidateLag[] {
  const hits = hitsOf(indexed, query);
  return [false, true].flatMap((byCourse) => bestLags(hits.filter((hit) => hit.byCourse === byCourse)));
}

function bestLags(found: readonly Hit[]): CandidateLag[] {
  let hits = found;
  const lags: CandidateLag[] = [];
  while (lags.length < MAX_LAGS && hits.length > 0) {
    const near = hits.map((centre) => hits.filter((hit) => isNear(hit, centre)));
    const best = near.reduce((most, some) => (wordsAmong(some) > wordsAmong(most) ? some : most));
    if (wordsAmong(best) < MIN_SHARED_HASHES) break;
    const { lagS, withinS, byCourse } = best.reduce((finest, hit) => (hit.withinS < finest.withinS ? hit : finest));
    lags.push({ lagS, withinS, byCourse });
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
      const kind = hash >> KIND_SHIFT;
      const [pointS, byCourse] = [pointSeconds(kind), kind >= FIRST_COURSE];
      const withinS = (byCourse ? COURSE_LAG_POINTS : LAG_POINTS) * pointS;
      hits.set(`${index} ${points}`, { indexed: index, lagS: points * pointS, withinS, byCourse });
    }
  });
  return [...hits.values()];
}
