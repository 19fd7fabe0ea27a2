import type { Figure, PackFacts } from "../model.js";
import { hypot } from "../numerics/hypot.js";
import type { TranslationLoad } from "../translation/load-law.js";
import { EXTENSION_SHARE, formShare } from "../translation/model-form.js";
import { kineticsMoved, resistanceMoved } from "../translation/moved-models.js";
import { cutoffUncertainty } from "../uncertainty/instants.js";
import { type Noise, translatedNoiseOf } from "../uncertainty/noise.js";
import { noiseOfReadings } from "../uncertainty/noise-of-readings.js";
import { type EvaluationInput, type InputReadings, type TranslatedReads, withCutoffMoved } from "./evaluation-input.js";
import type { FigureFormula } from "./formula.js";
import { figureValue, noisePart, summed } from "./parts.js";
import { type PerturbedRuns, perturbedParts } from "./perturbed-runs.js";
import type { Readings } from "./reading.js";

/**
 * The figures of a run under each load that it was translated to, with their budgets.
 *
 * @param ownNoise of the run under its own load
 */
export function translatedFigures(
  subject: EvaluationInput,
  { own, translated }: InputReadings,
  runs: PerturbedRuns,
  pack: PackFacts,
  formulas: readonly FigureFormula[],
  ownNoise: Noise,
): Figure[] {
  const ohm = ohmAt10S(subject, own);
  const shared = sharedRuns(runs);
  const given = formulas.filter(({ ownLoadOnly }) => !ownLoadOnly);
  return translated.flatMap((reads) => {
    const { load, stop, trace } = reads;
    const noise = translatedNoiseOf(trace, stop.endS, ownNoise, ohm);
    const noisy = noiseOfReadings(reads.reads, trace, noise, []);
    const cutoffS = cutoffUncertainty(trace, stop.cutoffS, noise, null);
    const early = withCutoffMoved(subject, reads, -cutoffS);
    return given.flatMap((formula): Figure[] => {
      const value = figureValue(formula, reads.reads, pack);
      const perturbed = perturbedParts(formula, pack, load, runs);
      const left = shared?.(formula, load, pack) ?? null;
      if (value === null || left === null || perturbed.some(({ uncertainty }) => Number.isNaN(uncertainty))) return [];
      const cutoff = Math.abs((figureValue(formula, early, pack) ?? value) - value);
      const own = summed([
        ...perturbed,
        { source: "cutoff", uncertainty: cutoff },
        { source: "noise", uncertainty: noisePart(formula, reads.reads, pack, noisy) },
      ]);
      const form = formShare(formula.key, reads.ratio) * Math.abs(value);
      const whole = summed([
        ...own.budget,
        { source: "kinetics", uncertainty: Math.abs(left.kinetics) },
        { source: "source resistance", uncertainty: left.resistance },
        { source: "model form", uncertainty: form },
        { source: "extension", uncertainty: left.extension },
      ]);
      return [
        {
          ...whole,
          key: formula.key,
          value,
          unit: formula.unit,
          basis: "translated",
          load: typeof load === "number" ? load : null,
          shared: {
            own: own.uncertainty,
            kinetics: left.kinetics,
            resistance: left.kinetics < 0 ? -left.resistance : left.resistance,
            form: hypot(form, left.extension),
          },
          bound: formula.growsWithRun && stop.cutoffS === null ? "lower" : "none",
        },
      ];
    });
  });
}

/** What the translation itself leaves in a figure under a standard load; null where a move takes it out of reach. */
type SharedParts = (
  formula: FigureFormula,
  load: TranslationLoad,
  pack: PackFacts,
) => { readonly kinetics: number; readonly resistance: number; readonly extension: number } | null;

function sharedRuns({ condensed }: PerturbedRuns): SharedParts | null {
  if (!condensed) return null;
  const { model, unperturbed, readModelMoved } = condensed;
  const kinetics = readModelMoved({ state: kineticsMoved(model) });
  const resistances = resistanceMoved(model).map((state) => readModelMoved({ state }));
  const extended = readModelMoved({ extension: 1 + EXTENSION_SHARE });
  return (formula, load, pack) => {
    const at = (reads: readonly TranslatedReads[]) =>
      figureValue(formula, reads.find((one) => one.load === load)?.reads ?? null, pack);
    const best = at(unperturbed);
    if (best === null) return null;
    const by = (reads: readonly TranslatedReads[]) => (at(reads) ?? Number.NaN) - best;
    const found = {
      kinetics: by(kinetics),
      resistance: hypot(...resistances.map(by)),
      extension: Math.abs(by(extended)),
    };
    return Object.values(found).every(Number.isFinite) ? found : null;
  };
}

/** The run's own resistance at 10 s, ohm. */
function ohmAt10S({ rest }: EvaluationInput, own: Readings): number {
  const [volts, amperes] = [own.get("voltage-10s"), own.get("current-10s")];
  return rest && volts && amperes ? Math.max(0, (rest.volts - volts.value) / amperes.value) : 0;
}
