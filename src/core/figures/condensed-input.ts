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

/** A run condensed to a few hundred means, to be moved and translated again. */
export interface CondensedInput {
  readonly subject: EvaluationInput;
  readonly model: RunModel;
  readonly unmoved: readonly TranslatedReads[];
  /** Reads the run under the standard loads with its model moved. */
  readonly readModelMoved: (move: TranslationMove) => readonly TranslatedReads[];
  /** Reads the run under the standard loads with its trace moved, as it then ends. */
  readonly readMoved: (moved: EvaluationInput, stop: Stop) => readonly TranslatedReads[];
}

/** Condenses a run for differences between its translations; null where it is not translated. */
export function condensedInput(
  subject: EvaluationInput,
  stop: Stop,
  { model: whole, translated }: InputReadings,
): CondensedInput | null {
  const frame = modelFrame(subject, stop);
  const model = frame && whole && condensed(whole, frame);
  if (!model) return null;
  const loads = translated.map(({ load }) => load);
  const settled = SETTLED_FOR_DIFFERENCES;
  const readModelMoved = (move: TranslationMove) => readTranslated(subject, model, loads, { ...move, settled });
  return {
    subject: { ...subject, trace: model.trace },
    model,
    unmoved: readModelMoved({}),
    readModelMoved,
    readMoved: (moved, end) => {
      const movedFrame = modelFrame(moved, end);
      const refitted = movedFrame && refittedTo(moved.trace, movedFrame, model);
      return refitted ? readTranslated(moved, refitted, loads, { settled }) : [];
    },
  };
}
