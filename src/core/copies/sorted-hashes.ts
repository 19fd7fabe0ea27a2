import type { CopyHashes } from "./hashes.js";

/** Offsets are looked up in 11 bits: those 2,048 points apart coincide, and the comparison tells them apart. */
export const LAST_OFFSET = 0x7ff;

/** A hash is sorted by parts of it, each a digit of so many bits, the least first (radix sort). */
const DIGIT_BITS = 11;
const DIGITS = 1 << DIGIT_BITS;
const HASH_BITS = 32;
/** Of a hash whose sign is turned: as a number without a sign it has the same order. */
const SIGN = 1 << (HASH_BITS - 1);

/**
 * The same hashes in ascending order, each with its offset modulo 2,048, those of one hash in their order: an index is searched for them from its one end to the
 * other, and nobody has to sort them there.
 */
export function sortedByHash({ hashes, offsets }: CopyHashes): CopyHashes {
  // A copy, since what is moved back and forth is overwritten.
  let from: CopyHashes = { hashes: hashes.slice(), offsets: offsets.map((offset) => offset & LAST_OFFSET) };
  let to: CopyHashes = { hashes: new Int32Array(hashes.length), offsets: new Int32Array(hashes.length) };
  for (let shift = 0; shift < HASH_BITS; shift += DIGIT_BITS) {
    moveByDigit(from, to, shift);
    [from, to] = [to, from];
  }
  return from;
}

/** Moves hashes with their offsets into the order of one of their digits; those with the same digit keep theirs. */
function moveByDigit(from: CopyHashes, to: CopyHashes, shift: number): void {
  const places = new Int32Array(DIGITS + 1);
  const count = from.hashes.length;
  for (let i = 0; i < count; i++) {
    const next = digitOf(from.hashes[i] as number, shift) + 1;
    places[next] = (places[next] as number) + 1;
  }
  for (let digit = 1; digit <= DIGITS; digit++) {
    places[digit] = (places[digit] as number) + (places[digit - 1] as number);
  }
  for (let i = 0; i < count; i++) {
    const hash = from.hashes[i] as number;
    const digit = digitOf(hash, shift);
    const place = places[digit] as number;
    places[digit] = place + 1;
    to.hashes[place] = hash;
    to.offsets[place] = from.offsets[i] as number;
  }
}

const digitOf = (hash: number, shift: number): number => ((hash ^ SIGN) >>> shift) & (DIGITS - 1);
