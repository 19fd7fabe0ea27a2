import type { Trace } from "../model.js";
import type { ReadingsOfTrace } from "./readings-of-trace.js";
import { ByteReader, ByteWriter } from "./storage/bytes.js";
import { readChannel, writeChannel } from "./storage/channels.js";
import { decodeTrace1 } from "./storage/trace-1.js";

/** Name of the layout below. A change of it is a new name; old names stay readable. */
export const TRACE_ENCODING = "packledger-trace-2";
const TRACE_1 = "packledger-trace-1";
const VERSION = 2;

/**
 * A trace as bytes, without loss: every double comes back to the last bit. A channel is written as the whole numbers that were logged (docs/performance.md,
 * "Storage") with the steps from them to its values, where decoding those steps gives its values again; else as doubles.
 *
 * Layout: version (one byte), number of samples, whether there is a temperature (one byte), then time, current, voltage and temperature.
 *
 * @param readings what the trace was made of; left out where nobody knows
 */
export function encodeTrace(trace: Trace, readings: ReadingsOfTrace | null = null): Buffer<ArrayBuffer> {
  const { time, voltage, current, temperature } = trace;
  const to = new ByteWriter();
  to.byte(VERSION);
  to.count(time.length);
  to.byte(temperature ? 1 : 0);
  if (time.length === 0) return to.whole();
  const asIs = (values: Float64Array) => ({ values, readings: values, minus: null, plusCurrentBy: null });
  const made = {
    time: readings ? { ...asIs(time), readings: readings.time, minus: readings.onsetS } : asIs(time),
    current: readings ? { ...asIs(current), readings: readings.current, minus: readings.offsetA } : asIs(current),
    voltage: readings
      ? { ...asIs(voltage), readings: readings.voltage, plusCurrentBy: readings.leadsOhm }
      : asIs(voltage),
  };
  writeChannel(to, made.time, "time", current);
  writeChannel(to, made.current, "current", current);
  writeChannel(to, made.voltage, "voltage", current);
  if (temperature) writeChannel(to, asIs(temperature), "temperature", current);
  return to.whole();
}

/** The trace that `encodeTrace` wrote, in this version or an earlier one. */
export function decodeTrace(encoding: string, data: Uint8Array): Trace {
  if (encoding === TRACE_1) return decodeTrace1(data);
  if (encoding !== TRACE_ENCODING) throw new Error(`unknown trace encoding ${encoding}`);
  const from = new ByteReader(data);
  const version = from.byte();
  if (version !== VERSION) throw new Error(`unknown version ${version} of ${encoding}`);
  const samples = from.count();
  const hasTemperature = from.byte() === 1;
  const read = (current: Float64Array | null) =>
    samples === 0 ? new Float64Array() : readChannel(from, samples, current);
  const time = read(null);
  const current = read(null);
  const voltage = read(current);
  return { time, voltage, current, temperature: hasTemperature ? read(current) : null };
}
