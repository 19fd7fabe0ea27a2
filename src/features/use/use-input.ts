import type { InputError } from "../../core/inputs/input-error.js";
import type { Chemistry } from "../../core/model.js";
import type { SteadyConditions } from "../../core/use/energy-power.js";
import { stretchesOf } from "../../core/use/predict.js";
import { durationOf, MAX_STRETCHES, MAX_USE_S, USUAL_RESERVE, type Use } from "../../core/use/use.js";
import { invalidInput } from "../../platform/http/requests/input.pipe.js";
import { requireStandardLoad } from "../../platform/http/requests/standard-load.js";
import type { UseInput, UseStepInput } from "./use.views.js";

/** A use has so many steps at most when its repeats are written out. */
export const MAX_STEPS = 20_000;
const DEFAULTS = { startC: 23, reserve: USUAL_RESERVE, temperatureLimitC: 60 } as const;
/** V of a cell under load at which a full load ends (common practice). */
const CUTOFFS: Readonly<Record<Chemistry, number>> = { lipo: 3.3, lihv: 3.3, liion: 3, lifepo4: 2.6 };
export const DEMANDS = ["powerW", "currentA", "resistanceOhm", "standardLoad"] as const;

/**
 * A use without its cutoff, which a pack's chemistry decides where none is asked for.
 *
 * @param packs how many packs it is asked of
 * @throws Problem that says of each step what is possible
 */
export function readUse(input: UseInput, packs: number): (chemistry: Chemistry) => Use {
  const errors: InputError[] = input.steps.flatMap((step, k) => errorOf(step, k) ?? []);
  const { steps, startC, ambientC, reserve, temperatureLimitC, cutoffVoltsPerCell, cycles } = input;
  const repeats = input.repeats ?? 1;
  const add = (pointer: string, message: string) => errors.push({ pointer, message });
  if (steps.length === 0) add("/use/steps", "must have at least one step");
  if (!steps.some(isDraw)) add("/use/steps", "must draw something: a use is more than a rest");
  if (steps.length * repeats > MAX_STEPS) add("/use/repeats", `make more than ${MAX_STEPS} steps together`);
  const seconds = durationOf({ steps, repeats });
  if (seconds > MAX_USE_S) {
    add("/use/repeats", `make ${Math.round(seconds)} s together; a use lasts at most ${MAX_USE_S} s`);
  }
  if (errors.length > 0) throw invalidInput(errors);
  steps.forEach(({ standardLoad }, k) => {
    if (standardLoad) requireStandardLoad(standardLoad.loadA, `/use/steps/${k}/standardLoad/loadA`);
  });
  const stretches = packs * stretchesOf({ steps, repeats, reserve: reserve ?? DEFAULTS.reserve });
  if (stretches > MAX_STRETCHES.prediction) {
    const message = `makes ${stretches} stretches to compute, the reserve and all packs counted; at most ${MAX_STRETCHES.prediction} are possible. Ask for fewer packs at a time, or for fewer or longer steps`;
    throw invalidInput([{ pointer: "/use", message }]);
  }
  const start = startC ?? DEFAULTS.startC;
  return (chemistry) => ({
    steps,
    repeats,
    startC: start,
    ambientC: ambientC ?? start,
    cycles: cycles ?? null,
    cutoffVoltsPerCell: cutoffVoltsPerCell ?? CUTOFFS[chemistry],
    reserve: reserve ?? DEFAULTS.reserve,
    temperatureLimitC: temperatureLimitC ?? DEFAULTS.temperatureLimitC,
  });
}

/** Under what a pack is discharged at one load from full on, where nothing else is asked for. */
export function steadyConditions(chemistry: Chemistry, asked: number | null): SteadyConditions {
  const startC = asked ?? DEFAULTS.startC;
  const { temperatureLimitC } = DEFAULTS;
  return { startC, ambientC: startC, cutoffVoltsPerCell: CUTOFFS[chemistry], temperatureLimitC };
}

function errorOf(step: UseStepInput, k: number): InputError | null {
  const given = DEMANDS.filter((key) => step[key] != null);
  if (given.length === 1) return null;
  return {
    pointer: `/use/steps/${k}`,
    message: "needs exactly one of powerW, currentA, resistanceOhm and standardLoad",
  };
}

const isDraw = ({ powerW, currentA, resistanceOhm, standardLoad }: UseStepInput): boolean =>
  (powerW ?? 0) > 0 || (currentA ?? 0) > 0 || resistanceOhm != null || standardLoad != null;
