import type { Stop } from "../trace/stop.js";
import { type RunModel, refittedTo } from "../translation/cell-source.js";
import { condensed } from "../translation/condense.js";
import {
  type EvaluationInput,
  type InputReadings,
  modelFrame,
  readTranslated,
  type TranslatedReads,
  type TranslationMove,
} from "./evaluation-input.js";

/** Differences need the steps of a translation no more settled than this, as a share of their current. */
export const SETTLED_FOR_DIFFERENCES = 1e-8;

/** A run condensed to a few hundred means, to be perturbed and translated again. */
export interface CondensedInput {
  readonly subject: EvaluationInput;
  readonly model: RunModel;
  readonly unperturbed: readonly TranslatedReads[];
  /** Reads the run under the standard loads with its model perturbed. */
  readonly readModelMoved: (move: TranslationMove) => readonly TranslatedReads[];
  /** Reads the run under the standard loads with its trace perturbed, as it then ends. */
  readonly readPerturbed: (perturbed: EvaluationInput, stop: Stop) => readonly TranslatedReads[];
}

/** Condenses a run for differences between its translations; null where it is translated to no load. */
export function condensedInput(
  subject: EvaluationInput,
  stop: Stop,
  { model: whole, translated }: InputReadings,
): CondensedInput | null {
  const frame = translated.length === 0 ? null : modelFrame(subject, stop);
  const model = frame && whole && condensed(whole, frame);
  if (!model) return null;
  const loads = translated.map(({ load }) => load);
  const settled = SETTLED_FOR_DIFFERENCES;
  const readModelMoved = (move: TranslationMove) => readTranslated(subject, model, loads, { ...move, settled });
  return {
    subject: { ...subject, trace: model.trace },
    model,
    unperturbed: readModelMoved({}),
    readModelMoved,
    readPerturbed: (perturbed, end) => {
      const perturbedFrame = modelFrame(perturbed, end);
      const refitted = perturbedFrame && refittedTo(perturbed.trace, perturbedFrame, model);
      return refitted ? readTranslated(perturbed, refitted, loads, { settled }) : [];
    },
  };
}
