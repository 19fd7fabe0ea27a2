import type { Trace } from "../model.js";
import { leastReliableBits } from "./bit-reliability.js";
import { SCALES_S } from "./smoothed-windows.js";
import { BITS } from "./window-shape.js";
import { courseWindowsOf, FIRST_COURSE, type WindowsOfKind, windowsOf } from "./windows.js";

const CHANNEL_BIT = BITS;
/** How many bits of a hash precede its kind: hashes of different kinds count offsets in different points. */
export const KIND_SHIFT = BITS + 1;

/** Hashes indexed per channel, for a scale and for a unit: most alterations leave more of the former. */
const INDEXED = { scale: 8, unit: 29, course: 16 } as const;
/** Of so many offsets in a row, those with the most reliable hashes are queried: this share, and about so many of a kind at most. */
const ROW = 20;
const QUERY = { scale: 0.25, unit: 0.5, course: 1 } as const;
const MAX_QUERY = { scale: 400, unit: 400, course: 300 } as const;
/** Clocks with which a load's own course is queried: what lies between them is within half a step of one. */
const CLOCKS = [1, 0.97, 1.03] as const;
/** The least reliable bits of a hash, which a query tries both ways. */
const BITS_TRIED = 3;

/** Hashes of a trace, one per offset. Arrays have the same length. */
export interface CopyHashes {
  /** The signs of a residual at 25 points, with the channel and the kind of residual in the upper bits. */
  readonly hashes: Int32Array;
  /** Offset of each, in points of its kind from the time origin of the trace. */
  readonly offsets: Int32Array;
}

/**
 * The hashes of a trace to index: in each part of it the one whose bits are the most reliable. None for a trace that is too short, or
 * that has no noise.
 */
export function hashesToIndex(trace: Trace, windows = windowsOf(trace)): CopyHashes {
  const found = new HashList();
  for (const one of [...windows, ...courseWindowsOf(trace)]) addToIndex(one, found);
  return found.whole();
}

function addToIndex(windows: WindowsOfKind, found: HashList): void {
  const { reliability } = windows;
  const parts = INDEXED[familyOf(windows)];
  for (let part = 0; part < parts; part++) {
    const from = Math.floor((part * reliability.length) / parts);
    const best = mostReliable(reliability, from, Math.floor(((part + 1) * reliability.length) / parts));
    if (best !== null) found.add(hashAt(windows, best), windows.offsets[best] as number);
  }
}

/** The hashes to query for copies of a trace: the more reliable ones, each also with its least reliable bits inverted. */
export function hashesToQuery(trace: Trace, windows = windowsOf(trace)): CopyHashes {
  const courses = CLOCKS.flatMap((clock) => courseWindowsOf(trace, clock));
  const found = new HashList();
  for (const one of [...windows, ...courses]) addToQuery(one, found);
  return found.whole();
}

function addToQuery(windows: WindowsOfKind, found: HashList): void {
  const { reliability } = windows;
  const family = familyOf(windows);
  const share = Math.min(QUERY[family], MAX_QUERY[family] / reliability.length);
  for (let from = 0; from < reliability.length; from += ROW) {
    const row = byReliability(reliability, from, Math.min(from + ROW, reliability.length));
    const chosen = Math.ceil(share * row.length);
    for (let i = 0; i < chosen; i++) {
      const at = row[i] as number;
      const offset = windows.offsets[at] as number;
      const hash = hashAt(windows, at);
      const weakest = leastReliableBits(windows.values, at, BITS_TRIED);
      for (let choice = 0; choice < 1 << weakest.length; choice++) found.add(hash ^ inverting(weakest, choice), offset);
    }
  }
}

function familyOf({ kind }: WindowsOfKind): keyof typeof INDEXED {
  if (kind >= FIRST_COURSE) return "course";
  return kind < SCALES_S.length ? "scale" : "unit";
}

/** The offset within [from, to) with the most reliable hash; null where something happened to the load at all of them. */
function mostReliable(reliability: Float64Array, from: number, to: number): number | null {
  let best: number | null = null;
  let most = Number.NEGATIVE_INFINITY;
  for (let offset = from; offset < to; offset++) {
    const one = reliability[offset] as number;
    if (one > most) [best, most] = [offset, one];
  }
  return best;
}

/** Offsets within [from, to), which are few, at which nothing happened to the load, the most reliable first. */
function byReliability(reliability: Float64Array, from: number, to: number): number[] {
  const sorted: number[] = [];
  for (let offset = from; offset < to; offset++) {
    const one = reliability[offset] as number;
    if (one === Number.NEGATIVE_INFINITY) continue;
    let rank = sorted.length;
    for (; rank > 0 && one > (reliability[sorted[rank - 1] as number] as number); rank--) {
      sorted[rank] = sorted[rank - 1] as number;
    }
    sorted[rank] = offset;
  }
  return sorted;
}

/** Hashes with their offsets, as many as are added. */
class HashList {
  private hashes = new Int32Array(1_024);
  private offsets = new Int32Array(1_024);
  private count = 0;

  add(hash: number, offset: number): void {
    if (this.count === this.hashes.length) {
      this.hashes = longer(this.hashes);
      this.offsets = longer(this.offsets);
    }
    this.hashes[this.count] = hash;
    this.offsets[this.count++] = offset;
  }

  whole(): CopyHashes {
    return { hashes: this.hashes.slice(0, this.count), offsets: this.offsets.slice(0, this.count) };
  }
}

function longer(values: Int32Array): Int32Array<ArrayBuffer> {
  const twice = new Int32Array(2 * values.length);
  twice.set(values);
  return twice;
}

function hashAt({ kind, channel, values }: WindowsOfKind, at: number): number {
  let hash = (kind << KIND_SHIFT) | (channel << CHANNEL_BIT);
  for (let bit = 0; bit < BITS; bit++) if ((values[at * BITS + bit] as number) > 0) hash |= 1 << bit;
  return hash;
}

/** Those bits to invert whose places are set in `choice`. */
function inverting(bits: readonly number[], choice: number): number {
  let inverted = 0;
  for (let i = 0; i < bits.length; i++) if (choice & (1 << i)) inverted |= 1 << (bits[i] as number);
  return inverted;
}
