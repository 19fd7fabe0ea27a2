import type { BenchFacts, BudgetPart, PackFacts, Trace } from "../model.js";
import type { MeasuredRun } from "../trace/normalised-run.js";
import { indexAtOrAfter } from "../trace/series.js";
import { findStop } from "../trace/stop.js";
import type { TranslationLoad } from "../translation/load-law.js";
import { evenOddSplit, meansOf, stretchOf } from "../uncertainty/decimate.js";
import { type Noise, rectangular } from "../uncertainty/noise.js";
import { type Source, sourcesOf } from "../uncertainty/sources.js";
import { type CondensedInput, condensedInput, SETTLED_FOR_DIFFERENCES } from "./condensed-input.js";
import { type EvaluationInput, type InputReadings, readInput, readOwn, shifted } from "./evaluation-input.js";
import type { FigureFormula } from "./formula.js";
import { figureValue, movedPart, samplingPart } from "./parts.js";
import type { Readings } from "./reading.js";

/** Differences need no more samples than this to be known to a few per cent. */
const SAMPLES_FOR_DIFFERENCES = 2000;

/** What was read of a run under its own load and under standard loads. */
export type ReadSides = Pick<InputReadings, "own" | "translated">;

/** A run as it is and as it would be read with each source of uncertainty perturbed. */
export interface PerturbedRuns {
  readonly unperturbed: ReadSides;
  readonly sources: readonly MovedSource[];
  /** What the perturbed model of the run is read from; null where it is not translated. */
  readonly condensed: CondensedInput | null;
  /** The run reduced to few samples, and to every second one of those. */
  readonly reduced: ReadSides;
  readonly even: ReadSides;
  readonly odd: ReadSides;
  /** How many samples of the run one of the reduced ones stands for. */
  readonly samplesToMean: number;
}

interface MovedSource extends Pick<Source, "name" | "ownOnly" | "byHalfWidth"> {
  readonly up: ReadSides;
  /** null when it was perturbed one way only. */
  readonly down: ReadSides | null;
}

export interface MoveFrame {
  readonly run: MeasuredRun;
  readonly bench: BenchFacts;
  readonly noise: Noise;
  /** Standard uncertainty of the instant of the cutoff under the run's own load, s. */
  readonly cutoffS: number;
  /** The run as it is, on all of its samples. */
  readonly reads: InputReadings;
}

/**
 * Moves a run by each source of uncertainty. What is read under its own load is read from a few thousand samples; what is translated from
 * its condensed model, which is fitted again in a few steps from the one that it has.
 */
export function perturbedRuns(subject: EvaluationInput, frame: MoveFrame): PerturbedRuns {
  const { run, bench, noise, cutoffS, reads } = frame;
  const { trace, samplesToMean } = reducedTrace(subject.trace, run);
  const input = trace === subject.trace ? subject : { ...subject, trace };
  const condensed = condensedInput(subject, run.stop, reads);
  const reduced = input === subject ? reads : readReduced(input, frame);
  const unperturbed = { own: reduced.own, translated: condensed?.unperturbed ?? [] };
  // How a perturbed run ends is found on all of its samples: means of neighbours may end otherwise, or not at all.
  const stopOf = (whole: EvaluationInput) =>
    whole.trace === subject.trace ? run.stop : findStop(whole.trace, whole.loadCurrentA, whole.limits);
  const sourcesFor = (perturbed: EvaluationInput) => sourcesOf(perturbed, run, bench, { noise, cutoffS });
  const whole = input === subject ? null : sourcesFor(subject);
  const model = condensed && sourcesFor(condensed.subject);
  const sources = sourcesFor(input).map(({ name, move, oneWay, ownOnly, byHalfWidth }, i): MovedSource => {
    const readAt = (by: number): ReadSides => {
      const perturbed = move(by);
      if (perturbed === input) return unperturbed;
      const stop = stopOf(whole ? (whole[i] as Source).move(by) : perturbed);
      const translated =
        condensed && model && !ownOnly ? condensed.readPerturbed((model[i] as Source).move(by), stop) : [];
      return { own: readOwn(perturbed, shifted(stop, perturbed.cutoffShiftS)), translated };
    };
    return {
      name,
      ...(ownOnly ? { ownOnly } : {}),
      ...(byHalfWidth ? { byHalfWidth } : {}),
      up: readAt(1),
      down: oneWay ? null : readAt(-1),
    };
  });
  const [even, odd] = evenOddSplit(trace).map((half) => readReduced({ ...input, trace: half }, frame)) as [
    InputReadings,
    InputReadings,
  ];
  return { unperturbed, sources, condensed, reduced, even, odd, samplesToMean };
}

const readReduced = (input: EvaluationInput, { run, reads }: MoveFrame): InputReadings =>
  readInput(input, run.stop, {
    loads: reads.translated.map(({ load }) => load),
    settled: SETTLED_FOR_DIFFERENCES,
  });

/** The samples that figures are read from, with the means of neighbours in their place where they are many; the trace itself where all are read. */
function reducedTrace(trace: Trace, { stop, part }: MeasuredRun): { trace: Trace; samplesToMean: number } {
  const ended = indexAtOrAfter(trace.time, stop.endS) + 1;
  const loaded = ended - indexAtOrAfter(trace.time, 0);
  const samplesToMean = Math.max(1, Math.ceil(loaded / SAMPLES_FOR_DIFFERENCES));
  const isWhole = part.from === 0 && part.to === trace.time.length;
  const read = isWhole ? trace : stretchOf(trace, part.from, part.to);
  return { trace: meansOf(read, samplesToMean, Math.max(0, ended - part.from)), samplesToMean };
}

/** Which of what was read a figure is of: the run's own load, or one that it was translated to. */
export type Side = TranslationLoad | "own";

const readsOn = (reads: ReadSides, side: Side): Readings | null =>
  side === "own" ? reads.own : (reads.translated.find(({ load }) => load === side)?.reads ?? null);

/** What each source that moves the run as a whole, and the sampling, leave in a figure; NaN where both moves take it out of reach. */
export function perturbedParts(formula: FigureFormula, pack: PackFacts, side: Side, runs: PerturbedRuns): BudgetPart[] {
  const at = (reads: ReadSides) => figureValue(formula, readsOn(reads, side), pack);
  const unperturbed = at(runs.unperturbed);
  const parts = runs.sources
    .filter(({ ownOnly }) => side === "own" || !ownOnly)
    .map(({ name, up, down, byHalfWidth }) => {
      const moved = movedPart(at(up), down && at(down), unperturbed);
      return { source: name, uncertainty: byHalfWidth ? rectangular(moved) : moved };
    });
  // What half as many samples change is more than what all of them still lack, and falls at least with their distance.
  const sampling = samplingPart(at(runs.even), at(runs.odd), at(runs.reduced)) / runs.samplesToMean;
  return [...parts, { source: "sampling", uncertainty: sampling }];
}
