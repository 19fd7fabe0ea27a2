import type { PackFacts, Trace } from "../model.js";
import { fitLine } from "../statistics/line.js";
import { indexAtOrAfter } from "../trace/series.js";
import { resistanceAt, type SourceModel } from "./source.js";

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
  const moved = underLoad(source.charge, source, loadOhm);
  const last = moved.time.length - 1;
  if (!reachedCutoff || (moved.current[last] as number) * loadOhm <= cutoffVolts) return toTrace(moved, loadOhm);
  const total = loadOhm + resistanceAt(source.resistance, moved.time[last] as number);
  return toTrace(underLoad(...extend(source, (cutoffVolts * total) / loadOhm, extension), loadOhm), loadOhm);
}

type Charge = SourceModel["charge"];
type Source = Pick<SourceModel, "sourceVolts" | "resistance">;

function underLoad(charge: Charge, source: Source, loadOhm: number) {
  const time = new Float64Array(charge.length);
  const current = new Float64Array(charge.length);
  const draw = (i: number, seconds: number) =>
    (source.sourceVolts[i] as number) / (loadOhm + resistanceAt(source.resistance, seconds));
  current[0] = draw(0, 0);
  for (let i = 1; i < time.length; i++) {
    const before = time[i - 1] as number;
    const drawn = Math.max(0, (charge[i] as number) - (charge[i - 1] as number));
    const slowness = 1 / (current[i - 1] as number);
    // The resistance depends on the instant and the instant on the resistance, but weakly: one look ahead settles it.
    const ahead = draw(i, before + drawn * slowness);
    time[i] = before + (drawn * (slowness + 1 / ahead)) / 2;
    current[i] = draw(i, time[i] as number);
  }
  return { time, current };
}

function toTrace({ time, current }: { time: Float64Array; current: Float64Array }, loadOhm: number): Trace {
  return { time, voltage: current.map((amps) => amps * loadOhm), current, temperature: null };
}

/** The source with its voltage carried on along its last slope, a little further than to `volts`. */
function extend(source: SourceModel, volts: number, extension: number): [Charge, Source] {
  const { charge, sourceVolts, resistance } = source;
  const last = charge.length - 1;
  const lastCharge = charge[last] as number;
  const endVolts = sourceVolts[last] as number;
  const tailFrom = indexAtOrAfter(charge, lastCharge * (1 - TAIL_SHARE));
  const slope = (fitLine(charge, sourceVolts, tailFrom, charge.length)?.slope ?? 0) / extension;
  if (!(slope < 0)) return [charge, source];
  const added = Math.min((1.02 * (volts - endVolts)) / slope, LONGEST_EXTENSION_SHARE * lastCharge);
  return [
    Float64Array.from([...charge, lastCharge + added]),
    { sourceVolts: Float64Array.from([...sourceVolts, endVolts + slope * added]), resistance },
  ];
}
