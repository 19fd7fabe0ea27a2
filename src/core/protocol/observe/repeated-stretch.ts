/** A stretch of samples that stands in the log twice. */
export interface RepeatedStretch {
  readonly samples: number;
  readonly firstAt: number;
  readonly againAt: number;
}

/**
 * The longest stretch of samples that comes again later, number by number, in two channels, and in which both changed
 * together at least `fewestChanges` times. Noise never does that: a change of the last digit carries about two bits at least, so
 * that the longest chance repetition among n samples has about log2(n) changes.
 *
 * Marks of half that many changes are laid end to end over the log; a later stretch that begins with the numbers of one
 * is followed on to both sides. Every repetition of `fewestChanges` changes holds a whole mark.
 *
 * @param from,to the samples looked at, `to` exclusive
 */
export function repeatedStretch(
  a: Float64Array,
  b: Float64Array,
  from: number,
  to: number,
  fewestChanges: number,
): RepeatedStretch | null {
  const changes = changesOf(a, b, from, to);
  const size = Math.ceil(fewestChanges / 2);
  const hashes = windowHashes(a, b, changes, size);
  const marks = new Map<number, number>();
  const seen = new Uint8Array(FILTER_SIZE);
  let longest: RepeatedStretch | null = null;
  let skipUntil = 0;
  for (let at = 0; at + size <= changes.length; at++) {
    const hash = hashes[at] as number;
    // Most changes begin like no mark: a small table tells so without asking the map.
    const isMarked = seen[hash & (FILTER_SIZE - 1)] === 1;
    const mark = isMarked ? marks.get(hash) : undefined;
    if (mark !== undefined && at >= skipUntil && mark + size <= at) {
      const found = followed(a, b, changes[mark] as number, changes[at] as number, from, to);
      const held = countWithin(changes, found.againAt, found.againAt + found.samples);
      if (held >= fewestChanges && found.samples > (longest?.samples ?? 0)) longest = found;
      if (held >= size) skipUntil = at + held;
    }
    if (at % size === 0 && mark === undefined) {
      marks.set(hash, at);
      seen[hash & (FILTER_SIZE - 1)] = 1;
    }
  }
  return longest;
}

/** The samples at which both channels change. */
function changesOf(a: Float64Array, b: Float64Array, from: number, to: number): Uint32Array {
  const found = new Uint32Array(Math.max(0, to - from));
  let count = 0;
  for (let i = from + 1; i < to; i++) if (a[i] !== a[i - 1] && b[i] !== b[i - 1]) found[count++] = i;
  return found.subarray(0, count);
}

/** How many of the changes lie within [from, to). */
function countWithin(changes: Uint32Array, from: number, to: number): number {
  const before = (index: number) => {
    let [low, high] = [0, changes.length];
    while (low < high) {
      const middle = (low + high) >>> 1;
      if ((changes[middle] as number) < index) low = middle + 1;
      else high = middle;
    }
    return low;
  };
  return before(to) - before(from);
}

/** Two equal samples followed to both sides as far as they stay equal, without running into each other. */
function followed(
  a: Float64Array,
  b: Float64Array,
  first: number,
  again: number,
  from: number,
  to: number,
): RepeatedStretch {
  const equal = (by: number) => a[first + by] === a[again + by] && b[first + by] === b[again + by];
  const distance = again - first;
  let back = 0;
  while (first - back - 1 >= from && equal(-back - 1)) back++;
  let ahead = 0;
  while (again + ahead < to && back + ahead < distance && equal(ahead)) ahead++;
  return { samples: back + ahead, firstAt: first - back, againAt: again - back };
}

const BASE = 0x01000193;
const OTHER_BASE = 0x85ebca6b;
/** A power of 2, well above the marks of the longest logs. */
const FILTER_SIZE = 0x40000;
/** Values are told apart to this share of a unit; what is closer is followed number by number all the same. */
const STEPS_PER_UNIT = 65_536;

/** Hash of the values at `size` changes, from each change on. */
function windowHashes(a: Float64Array, b: Float64Array, changes: Uint32Array, size: number): Uint32Array {
  const single = new Int32Array(changes.length);
  let leaving = 1;
  for (let k = 0; k < size; k++) leaving = Math.imul(leaving, BASE);
  const hashes = new Uint32Array(Math.max(0, changes.length - size + 1));
  let hash = 0;
  for (let k = 0; k < changes.length; k++) {
    const i = changes[k] as number;
    const own =
      Math.imul((a[i] as number) * STEPS_PER_UNIT, BASE) ^ Math.imul((b[i] as number) * STEPS_PER_UNIT, OTHER_BASE);
    single[k] = own;
    hash = (Math.imul(hash, BASE) + own) | 0;
    if (k >= size) hash = (hash - Math.imul(single[k - size] as number, leaving)) | 0;
    if (k >= size - 1) hashes[k - size + 1] = hash ^ (hash >>> 15);
  }
  return hashes;
}
