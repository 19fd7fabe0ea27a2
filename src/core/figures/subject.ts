import type { Trace } from "../model.js";
import { findStop, type Stop, type StopLimits } from "../trace/stop.js";
import { type SourceModel, type SourceShift, sourceOf } from "../translation/source.js";
import { translate, translationRatio } from "../translation/translate.js";
import { thinned } from "../uncertainty/thin.js";
import { type Reads, readTrace } from "./reads.js";

/** A trace with all that its figures depend on, so that each can be moved by its uncertainty. Times are s from onset. */
export interface Subject {
  readonly trace: Trace;
  readonly rest: { readonly volts: number; readonly samples: number } | null;
  readonly startTemperatureC: number | null;
  readonly loadCurrentA: number;
  readonly limits: StopLimits;
  /** Added to t_c when the cutoff was reached. */
  readonly cutoffShiftS: number;
  readonly referenceLoad: { readonly ohm: number; readonly lowestRatio: number; readonly highestRatio: number };
  readonly sourceShift: SourceShift;
  /** Voltage of the full, rested pack once its surface charge is gone, V, and over how much charge that fades, As. */
  readonly surface: { readonly settledVolts: number; readonly chargeC: number };
  /** Factor on the charge by which a translation is carried past the end of the log. */
  readonly extension: number;
}

export interface SubjectReads {
  readonly own: Reads;
  readonly stop: Stop;
  readonly source: SourceModel | null;
  /** Current of the reference load over the current of the run, at 10 s. */
  readonly ratio: number | null;
  /** Read under the reference load; null without a source model or out of its range. */
  readonly translated: { readonly reads: Reads; readonly stop: Stop } | null;
}

/** A translation needs no more samples than this; of longer logs it takes the means of neighbours (definition 21). */
const SAMPLES_FOR_TRANSLATION = 20_000;

/** Reads a subject under its own load, and under the reference load where that is within range. */
export function readSubject(subject: Subject): SubjectReads {
  const { trace, limits, rest } = subject;
  const found = findStop(trace, subject.loadCurrentA, limits);
  const stop = shifted(found, subject.cutoffShiftS);
  const frame = { rest, startTemperatureC: subject.startTemperatureC, temperatureLimitC: limits.temperatureLimitC };
  const own = readTrace(trace, { ...frame, stop });
  const restVolts = rest && {
    measured: rest.volts,
    settledAtMost: subject.surface.settledVolts,
    surfaceChargeC: subject.surface.chargeC,
  };
  const source = sourceOf(thinned(trace, SAMPLES_FOR_TRANSLATION), restVolts, found, subject.sourceShift);
  if (!source) return { own, stop, source, ratio: null, translated: null };
  const { ohm, lowestRatio, highestRatio } = subject.referenceLoad;
  const ratio = translationRatio(source, ohm);
  if (!(ratio >= lowestRatio && ratio <= highestRatio)) return { own, stop, source, ratio, translated: null };
  const moved = translate(source, ohm, limits.cutoffVolts, found.cutoffS !== null, subject.extension);
  const movedStop = shifted(findStop(moved, ratio * subject.loadCurrentA, limits), subject.cutoffShiftS);
  return {
    own,
    stop,
    source,
    ratio,
    translated: { reads: readTrace(moved, { ...frame, stop: movedStop }), stop: movedStop },
  };
}

function shifted(stop: Stop, shiftS: number): Stop {
  if (stop.cutoffS === null || shiftS === 0) return stop;
  return { ...stop, cutoffS: stop.cutoffS + shiftS, endS: stop.endS + shiftS };
}
