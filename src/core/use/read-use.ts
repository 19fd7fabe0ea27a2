import { type ReadLog, readLog } from "../channels/read-log.js";
import type { MapChoice } from "../channels/saved-map.js";
import { UNPACKED_LIMIT_BYTES } from "../evaluate.js";
import type { Adjustment } from "../model.js";
import type { ByteChunks } from "../table/archive/chunks.js";
import { drawnOf } from "../trace/drawn.js";
import { drawnAdjustments } from "../trace/normalising-adjustments.js";
import type { UseStep } from "./use.js";
import { type LogDemand, stepsOfLog } from "./use-of-log.js";

/** A use that a log shows, and how the log was read. */
export interface ReadUse {
  readonly steps: readonly UseStep[];
  readonly log: Pick<ReadLog, "bytes" | "rows"> & { readonly columns: ReadLog["readings"] };
  readonly adjustments: readonly Adjustment[];
}

/** Of whoever logs a model nobody knows the instruments: an offset of the current up to the usual share of the load is taken for one. */
const UNSTATED = { percent: 0, offset: 0 };

/**
 * Reads a log as a run's is read, and makes a use of all that was drawn, over several loads and the rests between them.
 *
 * @param log the bytes as uploaded, whole or in chunks in order
 * @throws LogError when the log cannot be read, or shows no load; it says what to change
 */
export async function readUse(log: ByteChunks, maps: MapChoice, demand: LogDemand): Promise<ReadUse> {
  const { channels, bytes, rows, readings, adjustments } = await readLog(log, UNPACKED_LIMIT_BYTES, maps);
  const whole = ({ time }: { readonly time: Float64Array }) => ({ from: 0, to: time.length });
  const { samples, spikes, zero, current, onset } = drawnOf(channels, channels.cells.length, UNSTATED, whole);
  const { time, voltage } = samples;
  return {
    steps: stepsOfLog({ time, voltage, current }, demand),
    log: { bytes, rows, columns: readings },
    adjustments: [...adjustments, ...drawnAdjustments({ samples, spikes, zero, loadCurrentA: onset.loadCurrentA })],
  };
}
