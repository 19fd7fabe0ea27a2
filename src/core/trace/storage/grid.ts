import { type Conversion, conversionOf, converted, type Dimension, UNITS_OF, unconverted } from "../../units/units.js";
import type { ByteReader, ByteWriter } from "./bytes.js";
import { MAX_INTEGER } from "./integers.js";

/** The numbers of a log's column: whole numbers over a power of ten, in a unit that is converted to the base unit. */
export interface Grid {
  /** A power of ten. */
  readonly scale: number;
  readonly conversion: Conversion;
}

/** Values by whole numbers of a grid. */
export interface OnGrid {
  readonly grid: Grid;
  readonly whole: Float64Array;
  /** How many representable numbers each value lies farther from 0 than its place on the grid; null where all stand on it. */
  readonly off: Int8Array | null;
}

const SCALES = [1, 10, 100, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9] as const;
/** By so many values, spread over all, a grid is tried before it is by all of them. */
const PROBES = 64;
/** Of so many values, one may stand off the grid: a spike that was repaired, a temperature that was missing. */
const ONE_OFF = 8;
const FARTHEST = 127;

/**
 * The coarsest grid on which nearly all values stand, exactly or but for the rounding of a sum, in one of the units that a column of the
 * dimension may have; null when there is none. A value that does not stand on it gets its neighbour's whole number.
 */
export function findGrid(values: Float64Array, dimension: Dimension): OnGrid | null {
  const probes = probesOf(values);
  for (const mayBeOff of [false, true]) {
    for (const conversion of CONVERSIONS[dimension]) {
      for (const scale of SCALES) {
        const grid = { scale, conversion };
        const found = onGrid(probes, grid, mayBeOff) && onGrid(values, grid, mayBeOff);
        if (found) return found;
      }
    }
  }
  return null;
}

/** The values again. */
export function valuesOn({ grid: { scale, conversion }, whole, off }: OnGrid): Float64Array {
  const values = new Float64Array(whole.length);
  if (isNone(conversion)) for (let i = 0; i < values.length; i++) values[i] = (whole[i] as number) / scale;
  else for (let i = 0; i < values.length; i++) values[i] = converted((whole[i] as number) / scale, conversion);
  if (off) for (let i = 0; i < values.length; i++) values[i] = beyond(values[i] as number, off[i] as number);
  return values;
}

export function writeGrid(to: ByteWriter, { scale, conversion }: Grid): void {
  to.count(scale);
  const isDivided = "divisor" in conversion;
  to.byte(isDivided ? 0 : 1);
  for (const number of isDivided ? [conversion.divisor] : [conversion.factor, conversion.shift]) to.float(number);
}

export function readGrid(from: ByteReader): Grid {
  const scale = from.count();
  const isDivided = from.byte() === 0;
  const first = from.float();
  return { scale, conversion: isDivided ? { divisor: first } : { factor: first, shift: from.float() } };
}

const isNone = (conversion: Conversion): boolean => "divisor" in conversion && conversion.divisor === 1;

/** Of each dimension, that of the base unit first. */
const CONVERSIONS = Object.fromEntries(
  Object.entries(UNITS_OF).map(([dimension, units]) => {
    const others = units.map(conversionOf).filter((one) => !isNone(one));
    return [dimension, [{ divisor: 1 }, ...others]];
  }),
) as unknown as Readonly<Record<Dimension, readonly Conversion[]>>;

function probesOf(values: Float64Array): Float64Array {
  if (values.length <= PROBES) return values;
  return Float64Array.from({ length: PROBES }, (_, i) => values[Math.floor((i * values.length) / PROBES)] as number);
}

function onGrid(values: Float64Array, grid: Grid, mayBeOff: boolean): OnGrid | null {
  const { scale, conversion } = grid;
  const converts = !isNone(conversion);
  const whole = new Float64Array(values.length);
  const off = mayBeOff ? new Int8Array(values.length) : null;
  let left = Math.floor(values.length / ONE_OFF);
  for (let i = 0; i < values.length; i++) {
    const value = values[i] as number;
    const found = Math.round((converts ? unconverted(value, conversion) : value) * scale);
    const stands = converts ? converted(found / scale, conversion) : found / scale;
    const apart = stands === value ? 0 : off ? apartBy(stands, value) : Number.NaN;
    if (Math.abs(found) <= MAX_INTEGER && Math.abs(apart) <= FARTHEST) {
      // No -0: it and 0 are one whole number.
      whole[i] = found + 0;
      if (off) off[i] = apart;
    } else {
      if (left-- === 0) return null;
      whole[i] = i === 0 ? 0 : (whole[i - 1] as number);
    }
  }
  return { grid, whole, off };
}

const double = new Float64Array(1);
const bits = new BigInt64Array(double.buffer);

/** How many representable numbers `to` lies farther from 0 than `from`; NaN where they have not the same sign. */
function apartBy(from: number, to: number): number {
  if (!(from > 0 ? to > 0 : from < 0 && to < 0)) return Number.NaN;
  double[0] = from;
  const start = bits[0] as bigint;
  double[0] = to;
  return Number((bits[0] as bigint) - start);
}

/** The number that lies so many representable ones farther from 0. */
function beyond(from: number, count: number): number {
  if (count === 0) return from;
  double[0] = from;
  bits[0] = (bits[0] as bigint) + BigInt(count);
  return double[0];
}
