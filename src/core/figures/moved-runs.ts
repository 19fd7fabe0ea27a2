import type { BenchFacts, BudgetPart, PackFacts } from "../model.js";
import type { NormalisedRun } from "../trace/normalised-run.js";
import { indexAtOrAfter } from "../trace/series.js";
import { decimate, evenOddSplit } from "../uncertainty/decimate.js";
import type { Noise } from "../uncertainty/noise.js";
import { type Source, sourcesOf } from "../uncertainty/sources.js";
import { type EvaluationInput, type InputReadings, readInput } from "./evaluation-input.js";
import type { FigureFormula } from "./formula.js";
import { figureValue, movedPart, samplingPart } from "./parts.js";
import type { Readings } from "./reading.js";

/** Differences need no more samples than this to be known to a few per cent. */
const SAMPLES_FOR_DIFFERENCES = 2000;

/** A run, reduced to few samples, as it is and as it would be read with each source of uncertainty moved. */
export interface MovedRuns {
  readonly subject: EvaluationInput;
  readonly unmoved: InputReadings;
  readonly sources: readonly MovedSource[];
  readonly even: InputReadings;
  readonly odd: InputReadings;
  /** How many samples of the run one of the reduced ones stands for. */
  readonly samplesToMean: number;
}

interface MovedSource extends Pick<Source, "name" | "ownOnly"> {
  readonly up: InputReadings;
  /** null when it was moved one way only. */
  readonly down: InputReadings | null;
}

export interface MoveFrame {
  readonly run: NormalisedRun;
  readonly bench: BenchFacts;
  readonly noise: Noise;
  /** Standard uncertainty of the instant of the cutoff under the run's own load, s. */
  readonly cutoffS: number;
  /** Standard loads that every move is read under, A. */
  readonly loadsA: readonly number[];
}

export function movedRuns(subject: EvaluationInput, { run, bench, noise, cutoffS, loadsA }: MoveFrame): MovedRuns {
  const samples = subject.trace.time.length;
  const ended = indexAtOrAfter(subject.trace.time, run.stop.endS) + 1;
  const reduced = { ...subject, trace: decimate(subject.trace, SAMPLES_FOR_DIFFERENCES, ended) };
  const read = (to: EvaluationInput) => readInput(to, undefined, loadsA);
  const unmoved = read(reduced);
  const readPerturbed = (to: EvaluationInput, ownOnly = false) => {
    if (to === reduced) return unmoved;
    return read(ownOnly ? { ...to, translation: null } : to);
  };
  const sources = sourcesOf(reduced, run, bench, { noise, cutoffS }).map(({ name, move, oneWay, ownOnly }) => ({
    name,
    ...(ownOnly ? { ownOnly } : {}),
    up: readPerturbed(move(1), ownOnly),
    down: oneWay ? null : readPerturbed(move(-1), ownOnly),
  }));
  const [even, odd] = evenOddSplit(reduced.trace).map((trace) => read({ ...reduced, trace })) as [
    InputReadings,
    InputReadings,
  ];
  return { subject: reduced, unmoved, sources, even, odd, samplesToMean: Math.ceil(samples / SAMPLES_FOR_DIFFERENCES) };
}

/** Which of what was read a figure is of: the run's own load, or one standard load. */
export type Side = number | "own";

export const readsOn = (reads: InputReadings, side: Side): Readings | null =>
  side === "own" ? reads.own : (reads.translated.find(({ loadA }) => loadA === side)?.reads ?? null);

/** What each source that moves the run as a whole, and the sampling, leave in a figure; NaN where both moves take it out of reach. */
export function movedParts(formula: FigureFormula, pack: PackFacts, side: Side, runs: MovedRuns): BudgetPart[] {
  const at = (reads: InputReadings) => figureValue(formula, readsOn(reads, side), pack);
  const unmoved = at(runs.unmoved);
  const parts = runs.sources
    .filter(({ ownOnly }) => side === "own" || !ownOnly)
    .map(({ name, up, down }) => ({ source: name, uncertainty: movedPart(at(up), down && at(down), unmoved) }));
  // What half as many samples change is more than what all of them still lack, and falls at least with their distance.
  const sampling = samplingPart(at(runs.even), at(runs.odd), unmoved) / runs.samplesToMean;
  return [...parts, { source: "sampling", uncertainty: sampling }];
}
