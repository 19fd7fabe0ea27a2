import type { LogChannels } from "../channels/read-log.js";
import type { Accuracy } from "../model.js";
import { LogError } from "../table/log-error.js";
import { type BeyondRange, refuseMarksAlone } from "./beyond-range.js";
import { type CurrentZero, currentZero } from "./current-zero.js";
import { findOnset, type Onset } from "./onset.js";
import { eachReadingOnce, type Repeats } from "./repeats/each-reading-once.js";
import { type Samples, toSamples } from "./samples.js";
import { repairSpikes, type Spikes } from "./spikes/repair-spikes.js";

/** What a log shows was drawn, repaired. Times are the log's own, s. */
export interface Drawn<Part> {
  /** Spikes repaired; the current with its offset still. */
  readonly samples: Samples;
  readonly spikes: Spikes;
  /** How the log repeats its readings, each of which is one sample then; null where it does not. */
  readonly repeats: Repeats | null;
  /** Zero of the current sensor by the rest; null when less than 1 s of it was logged. */
  readonly zero: CurrentZero | null;
  /** Less that zero where it is known, A. */
  readonly current: Float64Array;
  readonly onset: Onset;
  readonly part: Part;
}

/**
 * Definitions 1 to 11a: the usable samples, each reading once, discharge positive, with the first load's onset, spikes repaired and the offset of the current sensor subtracted.
 *
 * @param stated accuracy of the current sensor
 * @param partOf the samples in which spikes are repaired, `to` exclusive
 * @throws LogError `log-no-load` when no discharge current is in the log, `log-too-short` when too few rows are usable, `log-over-range` where either is since marks stand in place
 * of readings
 */
export function drawnOf<Part extends { readonly from: number; readonly to: number }>(
  channels: LogChannels,
  series: number,
  stated: Accuracy,
  partOf: (samples: Samples, onset: Onset) => Part,
): Drawn<Part> {
  const { samples: logged, repeats } = eachReadingOnce(toSamples(channels, series), channels.currentIsDerived);
  const asLogged = onsetOf(logged.time, logged.current, logged.beyondRange);
  const part = partOf(logged, asLogged);
  const { samples, spikes } = repairSpikes(logged, asLogged, part);
  const raw =
    samples.current === logged.current ? asLogged : onsetOf(samples.time, samples.current, samples.beyondRange);
  const zero = currentZero(samples.time, samples.current, raw, stated);
  const current = zero?.subtracted ? subtract(samples.current, zero.offsetA) : samples.current;
  const onset = zero?.isKnown ? onsetOf(samples.time, current, samples.beyondRange, 0) : raw;
  return { samples, spikes, repeats, zero, current, onset, part };
}

export function subtract(values: Float64Array, by: number): Float64Array {
  const reduced = new Float64Array(values.length);
  for (let i = 0; i < reduced.length; i++) reduced[i] = (values[i] as number) - by;
  return reduced;
}

function onsetOf(time: Float64Array, current: Float64Array, beyondRange: BeyondRange, restA?: number): Onset {
  const onset = findOnset(time, current, restA);
  if (onset) return onset;
  refuseMarksAlone(beyondRange);
  throw new LogError(
    "log-no-load",
    "The log holds no load: no discharge current lasts for half a second. Check that the current sensor was connected, that the right column was read as the current, and that the log covers the run.",
  );
}
