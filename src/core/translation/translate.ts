import type { PackFacts, Trace } from "../model.js";
import { fitLine, type Line } from "../statistics/line.js";
import { indexAtOrAfter } from "../trace/series.js";
import { shareAt } from "./loaded.js";
import { resistanceAt } from "./resistance.js";
import type { SourceModel } from "./source.js";

/** Share of the charge, at the end of the run, over which the source voltage is carried on when it must be. */
const TAIL_SHARE = 0.02;
/** Of the charge that the straight line along that tail promises, a pack near its end gives about this share. */
const BENT_SHARE = 0.65;
/** Farthest that it is carried on, as a share of the charge drawn. */
const LONGEST_EXTENSION_SHARE = 0.025;

/** Resistance of a reference load for a pack, ohm: V_nom / (rate x It). */
export function referenceOhm(pack: PackFacts, nominalVoltsPerCell: number, rateIt: number): number {
  return (pack.series * nominalVoltsPerCell) / (rateIt * (pack.ratedCapacityMah / 1000));
}

/** Current that the reference load would draw at 10 s, over the current of the run: how far a translation carries. */
export function translationRatio(source: SourceModel, loadOhm: number): number {
  return source.source10sV / (loadOhm + source.resistance10sOhm) / source.current10sA;
}

/**
 * The run as it would have gone under a resistance that comes on as the load of the run did:
 * I* = s(t*) U(q) / (R_load + R(t*, h*)), V* = U(q) - I* R(t*, h*), dt* = dq / I*, dh* = I* dq.
 *
 * Under the load that was really there it returns the measurement. When the run ended at its cutoff while V* was still
 * above it, the source voltage is carried on along its last slope until V* is a little below the cutoff.
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
  const moved = underLoad(source, loadOhm);
  const line = tailOf(source);
  if (!reachedCutoff || !line) return moved;
  const last = moved.time.length - 1;
  const neededVolts = (cutoffVolts * (source.sourceVolts[last] as number)) / (moved.voltage[last] as number);
  const lastCharge = source.charge[last] as number;
  const endVolts = line.intercept + line.slope * lastCharge;
  if (endVolts <= neededVolts) return moved;
  const slope = line.slope / (BENT_SHARE * extension);
  const added = Math.min((1.02 * (neededVolts - endVolts)) / slope, LONGEST_EXTENSION_SHARE * lastCharge);
  const step = Math.min(added / 2, lastCharge - (source.charge[last - 1] as number));
  return underLoad(carriedOn(source, { from: endVolts, slope, charges: [step, added] }), loadOhm);
}

function underLoad({ charge, sourceVolts, resistance, rise }: SourceModel, loadOhm: number): Trace {
  const time = new Float64Array(charge.length);
  const current = new Float64Array(charge.length);
  const voltage = new Float64Array(charge.length);
  let heat = 0;
  const ampsAt = (i: number, seconds: number, ohm: number) =>
    (shareAt(rise, seconds) * (sourceVolts[i] as number)) / (loadOhm + ohm);
  const place = (i: number, seconds: number) => {
    const ohm = resistanceAt(resistance, seconds, heat);
    const amps = ampsAt(i, seconds, ohm);
    time[i] = seconds;
    current[i] = amps;
    voltage[i] = (sourceVolts[i] as number) - amps * ohm;
  };
  place(0, 0);
  for (let i = 1; i < time.length; i++) {
    const before = time[i - 1] as number;
    const amps = current[i - 1] as number;
    const drawn = Math.max(0, (charge[i] as number) - (charge[i - 1] as number));
    // The resistance depends on the instant and the instant on the resistance, but weakly: one look ahead settles it.
    const soon = before + drawn / amps;
    const ahead = ampsAt(i, soon, resistanceAt(resistance, soon, heat + drawn * amps));
    heat += (drawn * (amps + ahead)) / 2;
    place(i, before + (2 * drawn) / (amps + ahead));
  }
  return { time, voltage, current, temperature: null };
}

/** The straight line along which the source voltage falls at the end of the run; null when it does not fall. */
function tailOf({ charge, sourceVolts }: SourceModel): Line | null {
  const lastCharge = charge[charge.length - 1] as number;
  const line = fitLine(charge, sourceVolts, indexAtOrAfter(charge, lastCharge * (1 - TAIL_SHARE)), charge.length);
  return line && line.slope < 0 ? line : null;
}

/** The source with its voltage carried on along a line, at some charges beyond its last. */
function carriedOn(
  source: SourceModel,
  { from, slope, charges }: { from: number; slope: number; charges: readonly number[] },
): SourceModel {
  const lastCharge = source.charge[source.charge.length - 1] as number;
  return {
    ...source,
    charge: Float64Array.from([...source.charge, ...charges.map((more) => lastCharge + more)]),
    sourceVolts: Float64Array.from([...source.sourceVolts, ...charges.map((more) => from + slope * more)]),
  };
}
