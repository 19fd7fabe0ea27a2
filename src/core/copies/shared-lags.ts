import type { CandidateLag } from "./candidate-lag.js";
import { type CopyHashes, KIND_SHIFT } from "./hashes.js";
import { FIRST_COURSE, pointSeconds } from "./windows.js";

/** Hashes of another trace at one lag from which on the two are compared, and lags of each sort at which they are, at most. */
export const MIN_SHARED_HASHES = 2;
const MAX_LAGS = 3;
/** Points of a kind within which two lags are one; a load's own course is found with a clock that is nearly right. */
const LAG_POINTS = 2;
export const COURSE_LAG_POINTS = 16;
const LAST_BITS = 0xffff;
/** More than two offsets of 32 bits can lie apart. */
const OFFSETS = 0x2_0000_0000;

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
    const best = near.reduce((most, some) => (hashesAmong(some) > hashesAmong(most) ? some : most));
    if (hashesAmong(best) < MIN_SHARED_HASHES) break;
    const { lagS, withinS, byCourse } = best.reduce((finest, hit) => (hit.withinS < finest.withinS ? hit : finest));
    lags.push({ lagS, withinS, byCourse });
    hits = hits.filter((hit) => !best.includes(hit));
  }
  return lags;
}

const isNear = (one: Hit, other: Hit): boolean =>
  Math.abs(one.lagS - other.lagS) <= Math.max(one.withinS, other.withinS);

const hashesAmong = (hits: readonly Hit[]): number => new Set(hits.map(({ indexed }) => indexed)).size;

/** One hit per indexed hash and lag, those of the first query hashes first. */
function hitsOf(indexed: CopyHashes, query: CopyHashes): Hit[] {
  const places = new Map<number, number[]>();
  // Most query hashes meet none: their last bits tell that without a look at the map.
  const known = new Uint8Array(LAST_BITS + 1);
  for (let i = 0; i < indexed.hashes.length; i++) {
    const hash = indexed.hashes[i] as number;
    const same = places.get(hash);
    if (same) same.push(i);
    else places.set(hash, [i]);
    known[hash & LAST_BITS] = 1;
  }
  const hits = new Map<number, Hit>();
  for (let i = 0; i < query.hashes.length; i++) {
    const hash = query.hashes[i] as number;
    if (known[hash & LAST_BITS] === 0) continue;
    for (const index of places.get(hash) ?? []) {
      const points = (indexed.offsets[index] as number) - (query.offsets[i] as number);
      hits.set(index * OFFSETS + points, hitAt(index, points, hash >> KIND_SHIFT));
    }
  }
  return [...hits.values()];
}

function hitAt(indexed: number, points: number, kind: number): Hit {
  const pointS = pointSeconds(kind);
  const byCourse = kind >= FIRST_COURSE;
  const withinS = (byCourse ? COURSE_LAG_POINTS : LAG_POINTS) * pointS;
  return { indexed, lagS: points * pointS, withinS, byCourse };
}
