import type { BenchFacts, BudgetPart, PackFacts, Trace } from "../model.js";
import type { NormalisedRun } from "../trace/normalised-run.js";
import { indexAtOrAfter } from "../trace/series.js";
import { findStop } from "../trace/stop.js";
import { evenOddSplit, meansOf, stretchOf } from "../uncertainty/decimate.js";
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
  const { trace, samplesToMean } = reducedTrace(subject.trace, run);
  const reduced = { ...subject, trace };
  const unmoved = readInput(reduced, run.stop, loadsA);
  // How a moved run ends is found on all of its samples: means of neighbours may end otherwise, or not at all.
  const stopOf = (whole: EvaluationInput) =>
    whole.trace === subject.trace ? run.stop : findStop(whole.trace, whole.loadCurrentA, whole.limits);
  const whole = sourcesOf(subject, run, bench, { noise, cutoffS });
  const sources = sourcesOf(reduced, run, bench, { noise, cutoffS }).map(({ name, move, oneWay, ownOnly }, i) => {
    const readAt = (by: number) => {
      const moved = move(by);
      if (moved === reduced) return unmoved;
      const to = ownOnly ? { ...moved, translation: null } : moved;
      return readInput(to, stopOf((whole[i] as Source).move(by)), loadsA);
    };
    return { name, ...(ownOnly ? { ownOnly } : {}), up: readAt(1), down: oneWay ? null : readAt(-1) };
  });
  const [even, odd] = evenOddSplit(trace).map((half) => readInput({ ...reduced, trace: half }, run.stop, loadsA)) as [
    InputReadings,
    InputReadings,
  ];
  return { subject: reduced, unmoved, sources, even, odd, samplesToMean };
}

/** The samples that figures are read from, with the means of neighbours in their place where they are many. */
function reducedTrace(trace: Trace, { stop, part }: NormalisedRun): { trace: Trace; samplesToMean: number } {
  const ended = indexAtOrAfter(trace.time, stop.endS) + 1;
  const loaded = ended - indexAtOrAfter(trace.time, 0);
  const samplesToMean = Math.max(1, Math.ceil(loaded / SAMPLES_FOR_DIFFERENCES));
  const read = stretchOf(trace, part.from, part.to);
  return { trace: meansOf(read, samplesToMean, Math.max(0, ended - part.from)), samplesToMean };
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
