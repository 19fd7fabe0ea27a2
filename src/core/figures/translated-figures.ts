import type { Figure, PackFacts } from "../model.js";
import { hypot } from "../numerics/hypot.js";
import type { TranslationLoad } from "../translation/load-law.js";
import { EXTENSION_SHARE, formShare } from "../translation/model-form.js";
import { kineticsMoved, resistanceMoved } from "../translation/moved-models.js";
import { cutoffUncertainty } from "../uncertainty/instants.js";
import { type Noise, noiseOf } from "../uncertainty/noise.js";
import { noiseOfReadings } from "../uncertainty/noise-of-readings.js";
import { type EvaluationInput, type TranslatedReads, withCutoffMoved } from "./evaluation-input.js";
import type { FigureFormula } from "./formula.js";
import { figureValue, noisePart, summed } from "./parts.js";
import { type PerturbedRuns, perturbedParts } from "./perturbed-runs.js";

/** The figures of a run under each load that it was translated to, with their budgets. */
export function translatedFigures(
  subject: EvaluationInput,
  translated: readonly TranslatedReads[],
  runs: PerturbedRuns,
  pack: PackFacts,
  formulas: readonly FigureFormula[],
): Figure[] {
  const shared = sharedRuns(runs);
  const given = formulas.filter(({ ownLoadOnly }) => !ownLoadOnly);
  return translated.flatMap((reads) => {
    const { load, stop, trace } = reads;
    const noise = translatedNoise(reads);
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

/** Noise of a translated trace: it has as many samples as the run, but at its own pace. */
function translatedNoise({ trace, stop }: TranslatedReads): Noise {
  return noiseOf(trace, stop.endS, trace.time.length / (trace.time.at(-1) as number));
}
