import type { Dimension } from "../../units/units.js";
import type { ByteReader, ByteWriter } from "./bytes.js";
import { findGrid, type OnGrid, readGrid, valuesOn, writeGrid } from "./grid.js";
import { readIntegers, writeIntegers } from "./integers.js";
import { readPlanes, writePlanes } from "./planes.js";

/** How a channel is written. */
const DOUBLES = 0;
const WHOLE = 1;
const WHOLE_AND_OFF = 2;

const FLOAT_BYTES = 8;
/** Of so many values, one may be written beside the whole numbers. */
const ONE_BESIDE = 8;

/** A channel with the readings that it was made of: less a number, and with a current through a resistance added. */
export interface MadeChannel {
  readonly values: Float64Array;
  readonly readings: Float64Array;
  readonly minus: number | null;
  /** Ohm. */
  readonly plusCurrentBy: number | null;
}

interface Steps extends Pick<MadeChannel, "minus" | "plusCurrentBy"> {
  readonly on: OnGrid;
  /** Places of the values that these steps do not give. */
  readonly beside: readonly number[];
}

/**
 * Writes a channel so that every double comes back to the last bit: as the whole numbers that were logged with what was done to them since,
 * and the few values beside that this does not give; else as doubles.
 *
 * @param current the trace's, for what is added by it
 */
export function writeChannel(to: ByteWriter, made: MadeChannel, dimension: Dimension, current: Float64Array): void {
  const { values } = made;
  const asIs = { values, readings: values, minus: null, plusCurrentBy: null };
  const steps = stepsTo(made, dimension, current) ?? stepsTo(asIs, dimension, current);
  if (!steps) {
    to.byte(DOUBLES);
    writePlanes(to, new Uint8Array(Float64Array.from(values).buffer), FLOAT_BYTES);
    return;
  }
  const { grid, whole, off } = steps.on;
  to.byte(off ? WHOLE_AND_OFF : WHOLE);
  writeGrid(to, grid);
  writeOptional(to, steps.minus);
  writeOptional(to, steps.plusCurrentBy);
  writeIntegers(to, whole);
  if (off) writePlanes(to, new Uint8Array(off.buffer), 1);
  to.count(steps.beside.length);
  let before = 0;
  for (const i of steps.beside) {
    to.count(i - before);
    to.float(values[i] as number);
    before = i;
  }
}

/** Reads what `writeChannel` wrote of `count` values. @param current the trace's, where it is read already */
export function readChannel(from: ByteReader, count: number, current: Float64Array | null): Float64Array {
  const form = from.byte();
  if (form === DOUBLES) return new Float64Array(readPlanes(from, count, FLOAT_BYTES).buffer);
  const grid = readGrid(from);
  const minus = readOptional(from);
  const plusCurrentBy = readOptional(from);
  const whole = readIntegers(from, count);
  const off = form === WHOLE_AND_OFF ? new Int8Array(readPlanes(from, count, 1).buffer) : null;
  const values = made({ grid, whole, off }, minus, plusCurrentBy, current);
  const beside = from.count();
  for (let read = 0, i = 0; read < beside; read++) {
    i += from.count();
    values[i] = from.float();
  }
  return values;
}

function stepsTo(
  { values, readings, minus, plusCurrentBy }: MadeChannel,
  dimension: Dimension,
  current: Float64Array,
): Steps | null {
  const on = findGrid(readings, dimension);
  if (!on) return null;
  const given = made(on, minus, plusCurrentBy, current);
  const beside: number[] = [];
  for (let i = 0; i < values.length; i++) if (!Object.is(given[i], values[i])) beside.push(i);
  return beside.length <= Math.floor(values.length / ONE_BESIDE) ? { on, minus, plusCurrentBy, beside } : null;
}

/** The one way from whole numbers to values, so that what is checked when writing is what is computed when reading. */
function made(
  on: OnGrid,
  minus: number | null,
  plusCurrentBy: number | null,
  current: Float64Array | null,
): Float64Array {
  const values = valuesOn(on);
  if (minus !== null) for (let i = 0; i < values.length; i++) values[i] = (values[i] as number) - minus;
  if (plusCurrentBy === null || !current) return values;
  for (let i = 0; i < values.length; i++) {
    values[i] = (values[i] as number) + (current[i] as number) * plusCurrentBy;
  }
  return values;
}

function writeOptional(to: ByteWriter, value: number | null): void {
  to.byte(value === null ? 0 : 1);
  if (value !== null) to.float(value);
}

const readOptional = (from: ByteReader): number | null => (from.byte() === 0 ? null : from.float());
