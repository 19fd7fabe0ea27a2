import type { Chemistry } from "../model.js";
import { square } from "../numerics/square.js";
import { openCircuitCurve } from "../translation/open-circuit-curves.js";

/** A pack as a source: an open-circuit curve typical of its chemistry behind one resistance. */
export interface PlannedSource {
  readonly chemistry: Chemistry;
  readonly series: number;
  readonly capacityAh: number;
  /** Of the whole pack, ohm. */
  readonly ohm: number;
}

export type PlannedLoad = { readonly amps: number } | { readonly ohm: number };

/** What a discharge from full to the cutoff is expected to be like. */
export interface ExpectedDischarge {
  readonly seconds: number;
  /** Charge delivered, Ah. */
  readonly ampHours: number;
  /** At onset and at 10 s, or at the end where that comes before. */
  readonly onset: OperatingPoint;
  readonly at10s: OperatingPoint;
  /** Heat that the load has to carry away, J. */
  readonly loadHeatJoules: number;
  /** Heat within the pack, J. */
  readonly packHeatJoules: number;
}

export interface OperatingPoint {
  readonly volts: number;
  readonly amps: number;
  readonly watts: number;
}

/** Steps of charge from full to empty. */
const STEPS = 500;
const SECONDS_PER_HOUR = 3_600;

/**
 * Discharges a typical pack to a voltage: V = S U(q) - I R, in equal steps of charge, each at the operating point of its middle.
 *
 * @param cutoffVolts of the whole pack
 * @returns a discharge of no length where the load pulls a full pack below the cutoff at once
 */
export function expectedDischarge(source: PlannedSource, load: PlannedLoad, cutoffVolts: number): ExpectedDischarge {
  const curve = openCircuitCurve(source.chemistry);
  const pointAt = (left: number) => operatingPoint(source.series * curve(left).volts, source.ohm, load);
  const onset = pointAt(1);
  let [seconds, loadHeatJoules, packHeatJoules, done] = [0, 0, 0, 0];
  let at10s = onset;
  for (; done < STEPS; done++) {
    const point = pointAt(1 - (done + 0.5) / STEPS);
    if (point.volts < cutoffVolts) break;
    const duration = ((source.capacityAh / STEPS) * SECONDS_PER_HOUR) / point.amps;
    if (seconds <= 10) at10s = point;
    seconds += duration;
    loadHeatJoules += point.watts * duration;
    packHeatJoules += square(point.amps) * source.ohm * duration;
  }
  const ampHours = (source.capacityAh * done) / STEPS;
  return { seconds, ampHours, onset, at10s, loadHeatJoules, packHeatJoules };
}

function operatingPoint(sourceVolts: number, sourceOhm: number, load: PlannedLoad): OperatingPoint {
  const amps = "amps" in load ? load.amps : sourceVolts / (sourceOhm + load.ohm);
  const volts = sourceVolts - amps * sourceOhm;
  return { volts, amps, watts: volts * amps };
}
