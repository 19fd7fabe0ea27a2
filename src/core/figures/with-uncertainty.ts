import type { BenchFacts, Figure, PackFacts } from "../model.js";
import type { MeasuredRun } from "../trace/normalised-run.js";
import { cutoffUncertainty } from "../uncertainty/instants.js";
import { noiseOf } from "../uncertainty/noise.js";
import { noiseOfReadings } from "../uncertainty/noise-of-readings.js";
import { sparseTemperature } from "../uncertainty/sparse-temperature.js";
import type { EvaluationInput, InputReadings } from "./evaluation-input.js";
import type { FigureFormula } from "./formula.js";
import { figureValue, noisePart, summed } from "./parts.js";
import { perturbedParts, perturbedRuns } from "./perturbed-runs.js";
import type { ReadingKey } from "./reading.js";
import { translatedFigures } from "./translated-figures.js";

/** The mean before the cutoff moves with the noise of the crossing. */
const SETTLED_BY_CUTOFF: readonly ReadingKey[] = ["voltage-cutoff"];

/**
 * The figures of a run by their formulas, with their uncertainty budgets (JCGM 100): under the run's own load, then under each load that it
 * was translated to.
 *
 * What moves the run as a whole (instrument gain and offset, timing, sense resistance) is perturbed by plus and minus one standard
 * uncertainty, everything is computed again, and half of the difference is its part; so correlations within the run are kept (sensitivities
 * by numeric differences: JCGM 100 5.1.3, note 2, from memory). Noise enters through each read on its own. The parts are independent, and u
 * is the root of the sum of their squares (5.1.2).
 */
export function figuresOf(
  subject: EvaluationInput,
  reads: InputReadings,
  run: MeasuredRun,
  pack: PackFacts,
  bench: BenchFacts,
  formulas: readonly FigureFormula[],
): Figure[] {
  const noise = noiseOf(subject.trace, run.stop.endS, run.summary.rateHz, run.senseOhm, run.summed, run);
  const { cutoffVolts } = subject.limits;
  const cutoffS = cutoffUncertainty(subject.trace, reads.stop.cutoffS, noise, cutoffVolts, run.instantS);
  const runs = perturbedRuns(subject, { run, bench, noise, cutoffS, reads });
  const noisy = noiseOfReadings(reads.own, subject.trace, noise, SETTLED_BY_CUTOFF);
  const seldom = sparseTemperature(subject, reads.own, reads.stop.endS);
  const basis = run.zero?.subtracted || run.senseOhm ? "corrected" : "measured";
  const isOnsetLogged = run.riseS !== null;
  const own = formulas.flatMap((formula): Figure[] => {
    if (formula.atInstant && !isOnsetLogged) return [];
    const value = figureValue(formula, reads.own, pack);
    const parts = perturbedParts(formula, pack, "own", runs);
    if (value === null || parts.some(({ uncertainty }) => Number.isNaN(uncertainty))) return [];
    const noiseLeft = { source: "noise", uncertainty: noisePart(formula, reads.own, pack, noisy) };
    const betweenReadings = { source: "between readings", uncertainty: noisePart(formula, reads.own, pack, seldom) };
    const isCutShort = formula.growsWithRun && (reads.stop.cutoffS === null || !isOnsetLogged);
    const bound = isCutShort || (formula.sinceOnset && !isOnsetLogged) ? "lower" : "none";
    return [
      {
        ...summed([...parts, noiseLeft, betweenReadings]),
        key: formula.key,
        value,
        unit: formula.unit,
        basis,
        load: null,
        shared: null,
        bound,
      },
    ];
  });
  return [...own, ...translatedFigures(subject, reads, runs, pack, formulas, noise)];
}
