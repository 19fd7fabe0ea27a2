import type { Trace } from "../model.js";
import { findStop, type Stop, type StopLimits } from "../trace/stop.js";
import { type SourceModel, type SourceShift, sourceOf } from "../translation/source.js";
import { translate, translationRatio } from "../translation/translate.js";
import { decimate } from "../uncertainty/decimate.js";
import type { PulseLevels } from "./pulse-readings.js";
import type { Readings } from "./reading.js";
import { type ReadingFrame, readTrace } from "./readings.js";

/** The load that a run is translated to. */
export interface InputReference {
  readonly ohm: number;
  readonly lowestRatio: number;
  readonly highestRatio: number;
  readonly cutoffVolts: number;
  /** Voltage of the full, rested pack once its surface charge is gone, V, and over how much charge that fades, As. */
  readonly settledVolts: number;
  readonly surfaceChargeC: number;
}

/** Added to t_c where the cutoff was reached, s: under the run's own load, and under the reference load. */
export interface CutoffShift {
  readonly own: number;
  readonly translated: number;
}
export const NO_CUTOFF_SHIFT: CutoffShift = { own: 0, translated: 0 };

/** A trace with all that its figures depend on, so that each can be moved by its uncertainty. Times are s from onset. */
export interface EvaluationInput {
  readonly trace: Trace;
  readonly rest: { readonly volts: number; readonly samples: number } | null;
  readonly startTemperatureC: number | null;
  readonly loadCurrentA: number;
  readonly limits: StopLimits;
  readonly cutoffShiftS: CutoffShift;
  /** null when the protocol names no load that its runs are translated to. */
  readonly reference: InputReference | null;
  readonly sourceShift: SourceShift;
  /** The two levels of a two-pulse load; null for any other. */
  readonly pulses: PulseLevels | null;
  /** Added to the instant at which the second pulse begins, s. */
  readonly pulseShiftS: number;
  /** Factor on the charge by which a translation is carried past the end of the log. */
  readonly extension: number;
}

export interface InputReadings {
  readonly own: Readings;
  readonly stop: Stop;
  readonly source: SourceModel | null;
  /** Current of the reference load over the current of the run, at 10 s. */
  readonly ratio: number | null;
  /** Read under the reference load; null without a source model or out of its range. */
  readonly translated: { readonly reads: Readings; readonly stop: Stop; readonly trace: Trace } | null;
}

/** A translation needs no more samples than this; of longer logs it takes the means of neighbours (definition 21). */
const SAMPLES_FOR_TRANSLATION = 20_000;

/**
 * Reads a subject under its own load, and under the reference load where that is within range.
 *
 * @param found how the run ended, when that is known already
 */
export function readInput(
  subject: EvaluationInput,
  found: Stop = findStop(subject.trace, subject.loadCurrentA, subject.limits),
): InputReadings {
  const stop = shifted(found, subject.cutoffShiftS.own);
  const own = readTrace(subject.trace, frameOf(subject, stop));
  const translation = subject.reference && translated(subject, subject.reference, found);
  return { own, stop, ...(translation ?? { source: null, ratio: null, translated: null }) };
}

function translated(
  subject: EvaluationInput,
  reference: InputReference,
  found: Stop,
): Pick<InputReadings, "source" | "ratio" | "translated"> {
  const { trace, limits, rest } = subject;
  const { ohm, lowestRatio, highestRatio, cutoffVolts, settledVolts, surfaceChargeC } = reference;
  const restVolts = rest && { measured: rest.volts, settledAtMost: settledVolts, surfaceChargeC };
  const source = sourceOf(decimate(trace, SAMPLES_FOR_TRANSLATION), {
    rest: restVolts,
    stop: found,
    loadCurrentA: subject.loadCurrentA,
    series: limits.series,
    shift: subject.sourceShift,
  });
  const ratio = source && translationRatio(source, ohm);
  if (!source || ratio === null || !(ratio >= lowestRatio && ratio <= highestRatio)) {
    return { source, ratio, translated: null };
  }
  const moved = translate(source, ohm, cutoffVolts, found.cutoffS !== null, subject.extension);
  const stop = shifted(findStop(moved, ratio * subject.loadCurrentA, limits), subject.cutoffShiftS.translated);
  return { source, ratio, translated: { reads: readTrace(moved, frameOf(subject, stop)), stop, trace: moved } };
}

function frameOf({ rest, startTemperatureC, limits, pulses, pulseShiftS }: EvaluationInput, stop: Stop): ReadingFrame {
  const { temperatureLimitC } = limits;
  return { stop, rest, startTemperatureC, temperatureLimitC, pulses, pulseShiftS };
}

function shifted(stop: Stop, shiftS: number): Stop {
  if (stop.cutoffS === null || shiftS === 0) return stop;
  return { ...stop, cutoffS: stop.cutoffS + shiftS, endS: stop.endS + shiftS };
}
