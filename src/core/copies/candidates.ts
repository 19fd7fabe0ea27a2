import { BITS } from "./window-shape.js";

/** A run that shares hashes with another one at one lag, and how many bits of them: those that no other shared hash has as well. */
export interface Candidate {
  readonly runId: string;
  /** Of samples, and of what the loads did by themselves; 0 where fewer than two hashes are shared. */
  readonly bySamples: number;
  readonly byCourse: number;
}

/** More bits than two hashes without a common point have: of 360,000 pairs of honest runs none shared as many. */
const SIGNIFICANT_BITS = 2 * BITS + 2;
/** Those that share fewer grow in number with the record, by chance: so many are compared, those that share most. */
const MAX_INSIGNIFICANT = 8;

export const isSignificant = ({ bySamples, byCourse }: Candidate): boolean =>
  Math.max(bySamples, byCourse) >= SIGNIFICANT_BITS;

/** Of candidates, those that share most first, the ones to compare: what a comparison costs does not grow with the record. */
export function worthComparing(candidates: readonly Candidate[]): Candidate[] {
  const significant = candidates.filter(isSignificant);
  return [...significant, ...candidates.filter((one) => !isSignificant(one)).slice(0, MAX_INSIGNIFICANT)];
}
