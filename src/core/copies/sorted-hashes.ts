import type { CopyHashes } from "./hashes.js";

/** Offsets are looked up in 11 bits: those 2,048 points apart coincide, and the comparison tells them apart. */
export const LAST_OFFSET = 0x7ff;

/**
 * The same hashes in ascending order, each with its offset modulo 2,048: an index is searched for them from its one end to the other, and nobody has to
 * sort them there.
 */
export function sortedByHash({ hashes, offsets }: CopyHashes): CopyHashes {
  // 43 bits, which a double holds exactly: numbers are sorted faster than pairs are.
  const pairs = new Float64Array(hashes.length);
  for (let i = 0; i < pairs.length; i++) {
    pairs[i] = (hashes[i] as number) * (LAST_OFFSET + 1) + ((offsets[i] as number) & LAST_OFFSET);
  }
  pairs.sort();
  const sorted = { hashes: new Int32Array(pairs.length), offsets: new Int32Array(pairs.length) };
  for (let i = 0; i < pairs.length; i++) {
    const pair = pairs[i] as number;
    const hash = Math.floor(pair / (LAST_OFFSET + 1));
    sorted.hashes[i] = hash;
    sorted.offsets[i] = pair - hash * (LAST_OFFSET + 1);
  }
  return sorted;
}
