import type { ByteReader, ByteWriter } from "./bytes.js";
import { readPlanes, writePlanes } from "./planes.js";

/** What a number is expected to be by those before it: their numbers stand in the stored form. */
const EXPECTED = { nothing: 0, last: 1, onLine: 2, meanOfTwo: 3, meanOfFour: 4 } as const;
const ALL_EXPECTED: readonly number[] = Object.values(EXPECTED);

/** @param one the number before, `two` the one before that, and so on; 0 before the first */
function expected(by: number, one: number, two: number, three: number, four: number): number {
  switch (by) {
    case EXPECTED.nothing:
      return 0;
    case EXPECTED.last:
      return one;
    case EXPECTED.onLine:
      return 2 * one - two;
    case EXPECTED.meanOfTwo:
      return Math.floor((one + two) / 2);
    default:
      return Math.floor((one + two + three + four) / 4);
  }
}

/** Up to here, sums and differences of what is expected are safe integers. */
export const MAX_INTEGER = 0x1_0000_0000_0000;

/** By so many stretches of so many numbers is chosen what is expected. */
const STRETCHES = 4;
const STRETCH = 128;
const BYTE = 256;

/**
 * Writes whole numbers of at most `MAX_INTEGER` as what each differs from what is expected by those before it, in steps that all of them
 * stand apart by; differences with their sign in the lowest bit, in as many bytes as the largest needs.
 *
 * @param values one at least
 */
export function writeIntegers(to: ByteWriter, values: Float64Array): void {
  const first = values[0] as number;
  const step = commonStep(values);
  const steps = stepsFrom(values, first, step);
  const by = bestExpected(steps);
  const differences = differencesFrom(by, steps);
  let largest = 0;
  for (let i = 0; i < differences.length; i++) largest = Math.max(largest, differences[i] as number);
  const width = Math.ceil(bitsOf(largest) / 8);
  to.integer(first);
  to.count(step);
  to.byte(by);
  to.byte(width);
  writePlanes(to, bytesOf(differences, width), width);
}

function stepsFrom(values: Float64Array, first: number, step: number): Float64Array {
  const steps = new Float64Array(values.length);
  for (let i = 0; i < values.length; i++) steps[i] = ((values[i] as number) - first) / step;
  return steps;
}

/** Reads what `writeIntegers` wrote of `count` numbers. */
export function readIntegers(from: ByteReader, count: number): Float64Array {
  const first = from.integer();
  const step = from.count();
  const by = from.byte();
  if (!ALL_EXPECTED.includes(by)) throw new RangeError("no such expectation");
  const width = from.byte();
  const bytes = readPlanes(from, count, width);
  const values = new Float64Array(count);
  let [one, two, three, four] = [0, 0, 0, 0];
  for (let i = 0; i < count; i++) {
    const signed = width === 1 ? (bytes[i] as number) : wholeAt(bytes, i * width, width);
    const difference = signed % 2 === 0 ? signed / 2 : -(signed + 1) / 2;
    const value = expected(by, one, two, three, four) + difference;
    values[i] = first + value * step;
    four = three;
    three = two;
    two = one;
    one = value;
  }
  return values;
}

/** The sign in the lowest bit. */
function differencesFrom(by: number, values: Float64Array): Float64Array {
  const differences = new Float64Array(values.length);
  let [one, two, three, four] = [0, 0, 0, 0];
  for (let i = 0; i < values.length; i++) {
    const value = values[i] as number;
    const difference = value - expected(by, one, two, three, four);
    differences[i] = difference < 0 ? -2 * difference - 1 : 2 * difference;
    four = three;
    three = two;
    two = one;
    one = value;
  }
  return differences;
}

/** The largest number of which all differences are multiples. */
function commonStep(values: Float64Array): number {
  let step = 0;
  for (let i = 1; i < values.length && step !== 1; i++) {
    let left = Math.abs((values[i] as number) - (values[i - 1] as number));
    while (left !== 0) [step, left] = [left, step % left];
  }
  return step === 0 ? 1 : step;
}

/** From which the values differ by the fewest bits. */
function bestExpected(values: Float64Array): number {
  const apart = Math.max(STRETCH, Math.floor(values.length / STRETCHES));
  const tried: Float64Array[] = [];
  for (let from = 0; from < values.length; from += apart) tried.push(values.subarray(from, from + STRETCH));
  let best: number = EXPECTED.nothing;
  let fewest = Number.POSITIVE_INFINITY;
  for (const by of ALL_EXPECTED) {
    let bits = 0;
    // What stands before a stretch is not known to it: its first differences tell nothing.
    for (const stretch of tried) for (const one of differencesFrom(by, stretch).subarray(4)) bits += bitsOf(one);
    if (bits < fewest) [best, fewest] = [by, bits];
  }
  return best;
}

const WORD = 0x1_0000_0000;
const bitsOf = (whole: number): number =>
  whole < WORD ? 32 - Math.clz32(whole) : 64 - Math.clz32(Math.floor(whole / WORD));

/** @param width 1 to 7 */
function wholeAt(bytes: Uint8Array, at: number, width: number): number {
  let whole = 0;
  for (let place = width - 1; place >= 0; place--) whole = whole * BYTE + (bytes[at + place] as number);
  return whole;
}

function bytesOf(values: Float64Array, width: number): Uint8Array {
  if (width === 1) return Uint8Array.from(values);
  const bytes = new Uint8Array(values.length * width);
  for (let i = 0; i < values.length; i++) {
    let left = values[i] as number;
    for (let place = 0; place < width; place++) {
      bytes[i * width + place] = left % BYTE;
      left = Math.floor(left / BYTE);
    }
  }
  return bytes;
}
