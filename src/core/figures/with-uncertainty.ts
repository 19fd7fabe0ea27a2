import type { Basis, BenchFacts, Bound, BudgetPart, Figure, PackFacts } from "../model.js";
import type { NormalisedRun } from "../trace/normalised-run.js";
import { indexAtOrAfter } from "../trace/series.js";
import { decimate, evenOddSplit } from "../uncertainty/decimate.js";
import { cutoffUncertainty } from "../uncertainty/instants.js";
import { type Noise, noiseOf } from "../uncertainty/noise.js";
import { noiseOfReadings } from "../uncertainty/noise-of-readings.js";
import { sourcesOf } from "../uncertainty/sources.js";
import { FIGURES } from "./catalogue.js";
import { type EvaluationInput, type InputReadings, readInput } from "./evaluation-input.js";
import type { FigureFormula } from "./formula.js";
import type { ReadingKey, Readings } from "./reading.js";

/** Differences need no more samples than this to be known to a few per cent. */
const SAMPLES_FOR_DIFFERENCES = 2000;

type Side = "own" | "translated";

/** The mean before the cutoff moves with the noise of the crossing; under a resistance the current does so too. */
const SETTLED_BY_CUTOFF = {
  own: ["voltage-cutoff"],
  translated: ["power-cutoff", "voltage-cutoff", "current-cutoff"],
} as const satisfies Record<Side, readonly ReadingKey[]>;

/**
 * The figures of a run that `keys` name, in the catalogue's order, with their uncertainty budgets (JCGM 100).
 *
 * What moves the run as a whole (instrument gain and offset, timing, sense resistance, translation) is moved by plus and
 * minus one standard uncertainty, everything is computed again, and half of the difference is its part; so correlations
 * within the run are kept (sensitivities by numeric differences: JCGM 100 5.1.3, note 2, from memory). Noise enters
 * through each read on its own. The parts are independent, and u is the root of the sum of their squares (5.1.2).
 */
export function figuresOf(
  subject: EvaluationInput,
  reads: InputReadings,
  run: NormalisedRun,
  pack: PackFacts,
  bench: BenchFacts,
  keys: readonly string[],
): Figure[] {
  const formulas = FIGURES.filter(({ key }) => keys.includes(key));
  const noise = noiseOf(subject.trace, run.stop.endS, run.summary.rateHz);
  const translated = reads.translated && { ...reads.translated, noise: translatedNoise(reads.translated) };
  const noisy = {
    own: noiseOfReadings(reads.own, subject.trace, noise, SETTLED_BY_CUTOFF.own),
    translated:
      translated && noiseOfReadings(translated.reads, translated.trace, translated.noise, SETTLED_BY_CUTOFF.translated),
  };
  const cutoffS = {
    own: cutoffUncertainty(subject.trace, reads.stop.cutoffS, noise, subject.limits.cutoffVolts),
    translated: translated ? cutoffUncertainty(translated.trace, translated.stop.cutoffS, translated.noise, null) : 0,
  };
  const ended = indexAtOrAfter(subject.trace.time, reads.stop.endS) + 1;
  const reduced = movable({ ...subject, trace: decimate(subject.trace, SAMPLES_FOR_DIFFERENCES, ended) });
  const unmoved = readInput(reduced);
  const readPerturbed = (to: EvaluationInput) => (to === reduced ? unmoved : readInput(to));
  const moved = sourcesOf(reduced, run, bench, { noise, cutoffS }).map(({ name, move, oneWay }) => ({
    name,
    up: readPerturbed(move(1)),
    down: oneWay ? null : readPerturbed(move(-1)),
  }));
  const [even, odd] = evenOddSplit(reduced.trace).map((trace) =>
    readInput({ ...reduced, trace }),
  ) as Pair<InputReadings>;
  // What half as many samples change is more than what all of them still lack, and falls at least with their distance.
  const samplesToMean = Math.ceil(subject.trace.time.length / SAMPLES_FOR_DIFFERENCES);
  return (["own", "translated"] as const).flatMap((side) => {
    const at = readsOf(reads, side);
    if (!at) return [];
    return formulas
      .filter((formula) => side === "own" || !formula.ownLoadOnly)
      .flatMap((formula) => {
        const value = evaluate(formula, at, pack);
        if (value === null) return [];
        const parts = moved.map(({ name, up, down }) => ({
          source: name,
          uncertainty: movedPart(formula, pack, side, { up, down, unmoved }),
        }));
        if (parts.some(({ uncertainty }) => Number.isNaN(uncertainty))) return [];
        const sampling = samplingPart(formula, pack, side, { even, odd, unmoved }) / samplesToMean;
        const budget = [
          ...parts,
          { source: "sampling", uncertainty: sampling },
          { source: "noise", uncertainty: noisePart(formula, at, pack, noisy[side] ?? new Map()) },
        ].filter((part) => part.uncertainty > 0);
        return [figure(formula, value, budget, basisOf(side, run), boundOf(formula, reads, side))];
      });
  });
}

function figure(formula: FigureFormula, value: number, budget: BudgetPart[], basis: Basis, bound: Bound): Figure {
  const uncertainty = Math.hypot(...budget.map((part) => part.uncertainty));
  return { key: formula.key, value, unit: formula.unit, uncertainty, basis, bound, budget };
}

const readsOf = (reads: InputReadings, side: Side): Readings | null =>
  side === "own" ? reads.own : (reads.translated?.reads ?? null);

function basisOf(side: Side, run: NormalisedRun): Basis {
  if (side === "translated") return "translated";
  return run.zero?.subtracted || run.senseOhm ? "corrected" : "measured";
}

function boundOf(formula: FigureFormula, reads: InputReadings, side: Side): Bound {
  const stop = side === "own" ? reads.stop : reads.translated?.stop;
  return formula.growsWithRun && stop?.cutoffS === null ? "lower" : "none";
}

function evaluate(
  formula: FigureFormula,
  reads: Readings,
  pack: PackFacts,
  changed?: { key: ReadingKey; by: number },
): number | null {
  const value = formula.from((key) => {
    const read = reads.get(key);
    if (!read) return null;
    return changed?.key === key ? read.value + changed.by : read.value;
  }, pack);
  return value !== null && Number.isFinite(value) ? value : null;
}

interface Moves {
  readonly up: InputReadings;
  /** null when it was moved one way only. */
  readonly down: InputReadings | null;
  readonly unmoved: InputReadings;
}

/**
 * Half of the difference between both moves; where one of them takes the figure out of reach (a mark past the end), the
 * difference of the other one; NaN where both do.
 */
function movedPart(formula: FigureFormula, pack: PackFacts, side: Side, { up, down, unmoved }: Moves): number {
  const figureIn = (reads: InputReadings) => figureAt(formula, reads, pack, side);
  const [high, low, middle] = [figureIn(up), down && figureIn(down), figureIn(unmoved)];
  if (high !== null && low !== null) return Math.abs(high - low) / 2;
  const reached = high ?? low;
  return reached === null || middle === null ? Number.NaN : Math.abs(reached - middle);
}

function figureAt(formula: FigureFormula, reads: InputReadings, pack: PackFacts, side: Side): number | null {
  const of = readsOf(reads, side);
  return of && evaluate(formula, of, pack);
}

type Pair<T> = [T, T];

/** How far the mean of what the even and what the odd samples give lies from what all give; 0 where either does not reach it. */
function samplingPart(
  formula: FigureFormula,
  pack: PackFacts,
  side: Side,
  reads: { readonly even: InputReadings; readonly odd: InputReadings; readonly unmoved: InputReadings },
): number {
  const [even, odd, all] = [reads.even, reads.odd, reads.unmoved].map((of) => figureAt(formula, of, pack, side));
  return even == null || odd == null || all == null ? 0 : Math.abs((even + odd) / 2 - all);
}

/** A run within range of the reference load stays so while it is moved. */
function movable(subject: EvaluationInput): EvaluationInput {
  const range = { lowestRatio: 0, highestRatio: Number.POSITIVE_INFINITY };
  return { ...subject, reference: subject.reference && { ...subject.reference, ...range } };
}

/** Noise of a translated trace: it has as many samples as the run, but at its own pace. */
function translatedNoise({ trace, stop }: NonNullable<InputReadings["translated"]>): Noise {
  return noiseOf(trace, stop.endS, trace.time.length / (trace.time.at(-1) as number));
}

function noisePart(
  formula: FigureFormula,
  reads: Readings,
  pack: PackFacts,
  noise: ReadonlyMap<ReadingKey, number>,
): number {
  const parts: number[] = [];
  for (const [key, by] of noise) {
    // The rest voltage moves the source model too: it is a source of its own.
    if (key === "rest-voltage") continue;
    const [high, low] = [evaluate(formula, reads, pack, { key, by }), evaluate(formula, reads, pack, { key, by: -by })];
    if (high !== null && low !== null) parts.push(Math.abs(high - low) / 2);
  }
  return Math.hypot(...parts);
}
