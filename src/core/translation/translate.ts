import type { PackFacts, Trace } from "../model.js";
import type { ProtocolDocument } from "../protocol/document.js";
import { fitLine } from "../statistics/line.js";
import { indexAtOrAfter } from "../trace/series.js";
import type { SourceModel } from "./source.js";

/** Share of the charge, at the end of the run, over which the source voltage is carried on when it must be. */
const TAIL_SHARE = 0.02;
/** Farthest that it is carried on, as a share of the charge drawn. */
const LONGEST_EXTENSION_SHARE = 0.1;

/** Resistance of the protocol's reference load for a pack, ohm: V_nom / (rate x It). */
export function referenceOhm(pack: PackFacts, protocol: ProtocolDocument): number {
  const nominalVolts = pack.series * protocol.cells[pack.chemistry].nominal;
  return nominalVolts / (protocol.referenceLoad.rateIt * (pack.ratedCapacityMah / 1000));
}

/** Current that the reference load would draw at 10 s, over the current of the run: how far a translation carries. */
export function translationRatio(source: SourceModel, loadOhm: number): number {
  return source.source10sV / (loadOhm + source.resistanceOhm) / source.current10sA;
}

/**
 * The run as it would have gone under a resistance: I* = U(q) / (R_load + R_i), V* = I* R_load, dt* = dq / I*.
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
  const total = loadOhm + source.resistanceOhm;
  const extended = reachedCutoff ? extend(source, (cutoffVolts * total) / loadOhm, extension) : source;
  const { charge, sourceVolts } = extended;
  const current = sourceVolts.map((volts) => volts / total);
  const time = new Float64Array(charge.length);
  for (let i = 1; i < time.length; i++) {
    const drawn = Math.max(0, (charge[i] as number) - (charge[i - 1] as number));
    time[i] = (time[i - 1] as number) + (drawn * (1 / (current[i] as number) + 1 / (current[i - 1] as number))) / 2;
  }
  return { time, voltage: current.map((amps) => amps * loadOhm), current, temperature: null };
}

/** The source with its voltage carried on along its last slope down to `volts`, when it ends above. */
function extend(source: SourceModel, volts: number, extension: number): Pick<SourceModel, "charge" | "sourceVolts"> {
  const { charge, sourceVolts } = source;
  const last = charge.length - 1;
  const lastCharge = charge[last] as number;
  const tailFrom = indexAtOrAfter(charge, lastCharge * (1 - TAIL_SHARE));
  const tail = fitLine(charge, sourceVolts, tailFrom, charge.length);
  const endVolts = sourceVolts[last] as number;
  if (endVolts <= volts || !tail || !(tail.slope < 0)) return source;
  const needed = ((volts - endVolts) / tail.slope) * extension;
  const added = Math.min(needed, LONGEST_EXTENSION_SHARE * lastCharge);
  return {
    charge: Float64Array.from([...charge, lastCharge + added]),
    sourceVolts: Float64Array.from([...sourceVolts, needed > added ? endVolts + tail.slope * added : volts]),
  };
}
