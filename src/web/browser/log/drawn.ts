import type { ReadLog } from "../../../core/channels/read-log.js";
import { LogError } from "../../../core/table/log-error.js";
import { reducedIndices } from "../../../core/trace/reduce.js";
import { type Samples, toSamples } from "../../../core/trace/samples.js";
import { describe, stretchesOf } from "../../../core/trace/stretches.js";
import type { DrawnDischarge, DrawnTrace, ReadRows } from "./messages.js";

/** Samples that a drawing is made of; more cannot be told apart on a screen. */
const MAX_POINTS = 2400;

/** A trace with as many samples as a drawing needs, the extremes of every channel among them. */
export function drawnTrace({ time, voltage, current, temperature }: DrawnTrace): DrawnTrace {
  const channels = [voltage, current, temperature].filter((channel) => channel !== null);
  const kept = reducedIndices(channels, MAX_POINTS);
  const pick = (values: Float64Array) => Float64Array.from(kept, (at) => values[at] as number);
  return {
    time: pick(time),
    voltage: voltage && pick(voltage),
    current: pick(current),
    temperature: temperature && pick(temperature),
  };
}

/** What is shown of a log's rows before the pack is known. */
export function readRows(read: ReadLog): ReadRows {
  const { bytes, rows, adjustments, channels } = read;
  const samples = samplesOf(read);
  const drawn = drawnTrace(samples ?? { ...channels, temperature: channels.temperatures[0] ?? null });
  return {
    bytes,
    rows,
    adjustments,
    drawn,
    discharges: samples ? dischargesOf(samples) : [],
    highestVolts: drawn.voltage && Math.max(0, ...drawn.voltage.filter(Number.isFinite)),
  };
}

/** Where the pack's voltage is the sum of logged cells, as many are in series as were logged. */
function samplesOf({ channels }: ReadLog): Samples | null {
  try {
    return toSamples(channels, Math.max(1, channels.cells.length));
  } catch (error) {
    if (error instanceof LogError) return null;
    throw error;
  }
}

function dischargesOf({ time, current }: Samples): readonly DrawnDischarge[] {
  const discharges = stretchesOf(time, current).filter(({ direction }) => direction === "discharge");
  return discharges.map((stretch) => ({
    fromS: stretch.startS,
    toS: stretch.startS + stretch.lengthS,
    text: describe(stretch),
  }));
}
