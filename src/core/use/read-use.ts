import { type ReadLog, readLog } from "../channels/read-log.js";
import type { MapChoice } from "../channels/saved-map.js";
import { UNPACKED_LIMIT_BYTES } from "../evaluate.js";
import type { Adjustment } from "../model.js";
import type { ByteChunks } from "../table/archive/chunks.js";
import { drawnOf } from "../trace/drawn.js";
import { drawnAdjustments } from "../trace/normalising-adjustments.js";
import type { Spikes } from "../trace/spikes/repair-spikes.js";
import type { LogDemand } from "./log-demand.js";
import type { UseRemark } from "./log-remarks.js";
import type { UseStep } from "./use.js";
import { toUse } from "./use-of-log.js";

/** A use that a log shows, and how the log was read. */
export interface ReadUse {
  readonly steps: readonly UseStep[];
  readonly log: Pick<ReadLog, "bytes" | "rows"> & { readonly columns: ReadLog["readings"] };
  readonly adjustments: readonly Adjustment[];
  readonly remarks: readonly UseRemark[];
}

/** Nobody states how accurate the logger of a model is: a current at rest of up to the usual share of the load counts as the sensor's offset. */
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
  const { samples, spikes, repeats, zero, current, onset } = drawnOf(channels, channels.cells.length, UNSTATED, whole);
  const { time, voltage } = samples;
  const { steps, remarks } = toUse({ time, voltage, current }, demand);
  return {
    steps,
    log: { bytes, rows, columns: readings },
    adjustments: [
      ...adjustments,
      ...drawnAdjustments({ samples, spikes, repeats, zero, loadCurrentA: onset.loadCurrentA }),
    ],
    remarks: [...remarks, ...spikeRemarks(spikes)],
  };
}

/** Spikes that were not repaired are loads of the use. */
function spikeRemarks({ left: { count, first } }: Spikes): UseRemark[] {
  if (count === 0) return [];
  const place = first?.line === undefined ? "" : `, the first in line ${first.line}`;
  const message = `${count} samples jump away from their neighbours as no pack and no load does${place}. They are too many, or too long, to be repaired, and are part of this use.`;
  return [{ kind: "spikes-left", message }];
}
