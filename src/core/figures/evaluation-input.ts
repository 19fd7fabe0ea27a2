import type { Chemistry, Trace } from "../model.js";
import { log } from "../numerics/library.js";
import { indexAtOrAfter } from "../trace/series.js";
import { findStop, type Stop, type StopLimits } from "../trace/stop.js";
import { cellSource, type ModelFrame, type ModelState, type RunModel, runModelOf } from "../translation/cell-source.js";
import type { TranslationLoad } from "../translation/load-law.js";
import { bestState } from "../translation/moved-models.js";
import { STANDARD_LOADS_A } from "../translation/standard-loads.js";
import { carriedBy, translate } from "../translation/translate.js";
import { decimate } from "../uncertainty/decimate.js";
import type { ChosenWindow } from "./chosen-windows.js";
import type { PulseLevels } from "./pulse-readings.js";
import type { Readings } from "./reading.js";
import { type ReadingFrame, readTrace } from "./readings.js";

/** How a run is translated to standard loads. */
export interface SubjectTranslation {
  readonly chemistry: Chemistry;
  /** Of the pack, V. */
  readonly cutoffVolts: number;
  /** Bounds of a standard load's current over the run's own, at 10 s. */
  readonly lowestRatio: number;
  readonly highestRatio: number;
}

/** A trace with all that its figures depend on, so that each can be perturbed by its uncertainty. Times are s from onset. */
export interface EvaluationInput {
  readonly trace: Trace;
  readonly rest: { readonly volts: number; readonly samples: number } | null;
  readonly startTemperatureC: number | null;
  readonly loadCurrentA: number;
  readonly limits: StopLimits;
  /** Added to t_c where the cutoff was reached, under the run's own load, s. */
  readonly cutoffShiftS: number;
  /** null when the protocol's runs are not translated. */
  readonly translation: SubjectTranslation | null;
  /** The two levels of a two-pulse load; null for any other. */
  readonly pulses: PulseLevels | null;
  /** Added to the instant at which the second pulse begins, s. */
  readonly pulseShiftS: number;
  /** Windows of a reader's choice, read beside the marks of the protocols. */
  readonly windows?: readonly ChosenWindow[];
}

/** A run as read under one load that it was translated to. */
export interface TranslatedReads {
  readonly load: TranslationLoad;
  /** Current there over the run's own, at 10 s. */
  readonly ratio: number;
  readonly reads: Readings;
  readonly stop: Stop;
  readonly trace: Trace;
}

export interface InputReadings {
  readonly own: Readings;
  readonly stop: Stop;
  /** null where the run cannot be translated, or is asked for under no load but its own. */
  readonly model: RunModel | null;
  /** `ratio` of the standard load whose current is nearest to the run's own; null without a model. */
  readonly nearestRatio: number | null;
  /** Under each standard load within reach, in rising order. */
  readonly translated: readonly TranslatedReads[];
}

/** A translation needs no more samples than this; of longer logs it takes the means of neighbours (definition 21). */
const SAMPLES_FOR_TRANSLATION = 20_000;

/** What is known already of a subject that is almost another one. */
interface KnownOfInput {
  /** The loads to read it under; the standard loads within reach when left out. */
  readonly loads?: readonly TranslationLoad[];
  /** How far the steps of its translation are settled, as in `TranslationTarget`. */
  readonly settled?: number;
}

/**
 * Reads a subject under its own load, and under the standard loads within reach.
 *
 * @param found how the run ended, when that is known already
 */
export function readInput(
  subject: EvaluationInput,
  found: Stop = findStop(subject.trace, subject.loadCurrentA, subject.limits),
  { loads, settled }: KnownOfInput = {},
): InputReadings {
  const stop = shifted(found, subject.cutoffShiftS);
  const own = readOwn(subject, stop);
  const model = loads?.length === 0 ? null : modelOf(subject, found);
  if (!model || !subject.translation) return { own, stop, model: null, nearestRatio: null, translated: [] };
  const ratios = ratiosOf(model, subject.limits.series);
  const { lowestRatio, highestRatio } = subject.translation;
  const within = [...ratios].flatMap(([load, ratio]) => (ratio >= lowestRatio && ratio <= highestRatio ? [load] : []));
  return {
    own,
    stop,
    model,
    nearestRatio: nearestTo1(ratios.values()),
    translated: readTranslated(subject, model, loads ?? within, { settled }),
  };
}

/** The model of a subject's run; null where the protocol does not translate or the run gives none. */
function modelOf(subject: EvaluationInput, stop: Stop): RunModel | null {
  const frame = modelFrame(subject, stop);
  if (!frame) return null;
  const { trace } = subject;
  const boundary = indexAtOrAfter(trace.time, frame.loadEndS) + 1;
  return runModelOf(decimate(trace, SAMPLES_FOR_TRANSLATION, boundary), frame);
}

/** What the model of a subject is made from; null where it has none. */
export function modelFrame(
  { rest, limits, loadCurrentA, translation }: Omit<EvaluationInput, "trace">,
  { loadEndS, cutoffS, endS }: Stop,
): ModelFrame | null {
  if (!translation || !rest || endS < LATEST_MARK_S) return null;
  return {
    loadEndS,
    loadCurrentA,
    series: limits.series,
    chemistry: translation.chemistry,
    restVolts: rest.volts,
    reachedCutoff: cutoffS !== null,
  };
}

/** Reads a subject under its own load alone. */
export const readOwn = (subject: EvaluationInput, stop: Stop): Readings =>
  readTrace(subject.trace, frameOf(subject, stop));

/** The end of the window of the mark at 10 s. */
const LATEST_MARK_S = 10.5;

function ratiosOf(model: RunModel, series: number): Map<number, number> {
  const source = cellSource(model, bestState(model));
  return new Map(STANDARD_LOADS_A.map((load) => [load, carriedBy(source, model, load, series)]));
}

function nearestTo1(ratios: Iterable<number>): number {
  let nearest = Number.POSITIVE_INFINITY;
  for (const ratio of ratios) if (Math.abs(log(ratio)) < Math.abs(log(nearest))) nearest = ratio;
  return nearest;
}

/** How a translation is perturbed from its best estimate. */
export interface TranslationMove {
  readonly state?: ModelState;
  /** Factor on the charge by which the source is carried on past the end of the log. */
  readonly extension?: number;
  /** As in `TranslationTarget`. */
  readonly settled?: number | undefined;
}

/** Reads a run under loads that it is translated to, by its model. */
export function readTranslated(
  subject: EvaluationInput,
  model: RunModel,
  loads: readonly TranslationLoad[],
  { state = bestState(model), extension = 1, settled }: TranslationMove = {},
): TranslatedReads[] {
  const { limits, translation } = subject;
  if (!translation) return [];
  const source = cellSource(model, state);
  return loads.flatMap((load) => {
    const { cutoffVolts } = translation;
    const trace = translate(source, model, { load, series: limits.series, cutoffVolts, extension, settled });
    if (!trace) return [];
    const ratio = carriedBy(source, model, load, limits.series);
    // A load that a run is translated to stays on: whatever it draws is load.
    const stop = findStop(trace, 0, limits);
    return [{ load, ratio, reads: readTrace(trace, frameOf(subject, stop)), stop, trace }];
  });
}

/** The reads of a translated run with its cutoff perturbed by `shiftS`. */
export const withCutoffMoved = (subject: EvaluationInput, { trace, stop }: TranslatedReads, shiftS: number): Readings =>
  readTrace(trace, frameOf(subject, shifted(stop, shiftS)));

function frameOf(
  { rest, startTemperatureC, limits, pulses, pulseShiftS, windows }: EvaluationInput,
  stop: Stop,
): ReadingFrame {
  const { temperatureLimitC } = limits;
  return { stop, rest, startTemperatureC, temperatureLimitC, pulses, pulseShiftS, windows };
}

/** A stop with its cutoff perturbed. */
export function shifted(stop: Stop, shiftS: number): Stop {
  if (stop.cutoffS === null || shiftS === 0) return stop;
  return { ...stop, cutoffS: stop.cutoffS + shiftS, endS: stop.endS + shiftS };
}
