import type { PackFacts, Trace } from "../model.js";
import { fitLine } from "../statistics/line.js";
import { indexAtOrAfter } from "../trace/series.js";
import { resistanceAt, type SourceModel, type SourceResistance } from "./source.js";

/** Share of the charge, at the end of the run, over which the source voltage is carried on when it must be. */
const TAIL_SHARE = 0.02;
/** Farthest that it is carried on, as a share of the charge drawn. */
const LONGEST_EXTENSION_SHARE = 0.1;

/** Resistance of a reference load for a pack, ohm: V_nom / (rate x It). */
export function referenceOhm(pack: PackFacts, nominalVoltsPerCell: number, rateIt: number): number {
  return (pack.series * nominalVoltsPerCell) / (rateIt * (pack.ratedCapacityMah / 1000));
}

/** Current that the reference load would draw at 10 s, over the current of the run: how far a translation carries. */
export function translationRatio(source: SourceModel, loadOhm: number): number {
  return source.source10sV / (loadOhm + resistanceAt(source.resistance, 10)) / source.current10sA;
}

/**
 * The run as it would have gone under a resistance: I* = U(q) / (R_load + R(t*)), V* = I* R_load, dt* = dq / I*.
 *
 * Under the load that was really there it returns the measurement. When the run ended at its cutoff while V* was still
 * above it, the source voltage is carried on along its last slope until V* meets the cutoff.
 *
 * @param extension factor on the charge so carried on, 1 for the best estimate
 * @returns the translated trace from onset on, without temperature
 */
export function translate(
  source: SourceModel,
  loadOhm: number,
  cutoffVolts: number,
  reachedCutoff: boolean,
  extension: number,
): Trace {
  const { charge, sourceVolts, resistance } = source;
  const last = charge.length - 1;
  const moved = underLoad(source, loadOhm);
  if (!reachedCutoff || (moved.current[last] as number) * loadOhm <= cutoffVolts) return toTrace(moved, last, loadOhm);
  const total = loadOhm + resistanceAt(resistance, moved.time[last] as number);
  const added = carriedOn(source, (cutoffVolts * total) / loadOhm, extension);
  if (!added) return toTrace(moved, last, loadOhm);
  const lastCharge = charge[last] as number;
  const drawn = lastCharge + added.charge - lastCharge;
  step(moved, last + 1, drawn, (sourceVolts[last] as number) + added.volts, resistance, loadOhm);
  return toTrace(moved, last + 1, loadOhm);
}

interface Moved {
  readonly time: Float64Array;
  readonly current: Float64Array;
}

/** The samples under the load, with room for one more. */
function underLoad({ charge, sourceVolts, resistance }: SourceModel, loadOhm: number): Moved {
  const moved: Moved = { time: new Float64Array(charge.length + 1), current: new Float64Array(charge.length + 1) };
  moved.current[0] = (sourceVolts[0] as number) / (loadOhm + resistanceAt(resistance, 0));
  for (let i = 1; i < charge.length; i++) {
    const drawn = Math.max(0, (charge[i] as number) - (charge[i - 1] as number));
    step(moved, i, drawn, sourceVolts[i] as number, resistance, loadOhm);
  }
  return moved;
}

/** Goes on to sample `i`, at which so much charge more is drawn and the source has so many volts. */
function step(
  { time, current }: Moved,
  i: number,
  drawn: number,
  volts: number,
  resistance: SourceResistance,
  loadOhm: number,
): void {
  const before = time[i - 1] as number;
  const slowness = 1 / (current[i - 1] as number);
  // The resistance depends on the instant and the instant on the resistance, but weakly: one look ahead settles it.
  const ahead = volts / (loadOhm + resistanceAt(resistance, before + drawn * slowness));
  const instant = before + (drawn * (slowness + 1 / ahead)) / 2;
  time[i] = instant;
  current[i] = volts / (loadOhm + resistanceAt(resistance, instant));
}

function toTrace({ time, current }: Moved, last: number, loadOhm: number): Trace {
  const voltage = new Float64Array(last + 1);
  for (let i = 0; i <= last; i++) voltage[i] = (current[i] as number) * loadOhm;
  return { time: time.subarray(0, last + 1), voltage, current: current.subarray(0, last + 1), temperature: null };
}

/** How far the source is carried on along its last slope, a little further than to `volts`; null when it does not fall there. */
function carriedOn(
  { charge, sourceVolts }: SourceModel,
  volts: number,
  extension: number,
): { readonly charge: number; readonly volts: number } | null {
  const last = charge.length - 1;
  const lastCharge = charge[last] as number;
  const tailFrom = indexAtOrAfter(charge, lastCharge * (1 - TAIL_SHARE));
  const slope = (fitLine(charge, sourceVolts, tailFrom, charge.length)?.slope ?? 0) / extension;
  if (!(slope < 0)) return null;
  const added = Math.min(
    (1.02 * (volts - (sourceVolts[last] as number))) / slope,
    LONGEST_EXTENSION_SHARE * lastCharge,
  );
  return { charge: added, volts: slope * added };
}
