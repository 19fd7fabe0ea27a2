import { USE_CAUTIONS } from "./cautions.js";
import { type CurvePoint, curveOf } from "./curve.js";
import { type Demand, demandOf, instants, lastOfUse, stretchesOf as stretchesFor } from "./demand.js";
import type { Grade, PackModel } from "./model/pack-model.js";
import { followAll, type Whose } from "./perturbed-passes.js";
import type { Use } from "./use.js";
import { MAX_CHARGE, type NeededRun, validityOf } from "./validity.js";
import { type Verdict, verdictOf } from "./verdict.js";

/** What a pack does under a use. Of the pack: V, A, W; temperature of its skin. */
export interface Prediction extends Verdict {
  readonly of: Whose["kind"];
  readonly grade: Grade;
  readonly durationS: number;
  /** Whether anything is said; else `needed` says which runs would let it be. */
  readonly answered: boolean;
  readonly needed: readonly NeededRun[];
  readonly curve: readonly CurvePoint[];
  /** Highest mean current of a second or so that the use draws, A; null when nothing is said. */
  readonly peakA: number | null;
  readonly chargeAh: number | null;
  readonly energyWh: number | null;
  readonly cautions: readonly string[];
}

/** A use is carried on past its end by this factor, so that what lies in reserve is drawn too. */
const CARRIED_ON = 1.1;
/** Under a resistance a cell draws less as its voltage falls: at the start so many times what it draws near its cutoff (4.2 V over 3 V, and some more). */
const FADE = 1.5;
/** A pass goes on below the cutoff, so that a perturbed one can be compared with it, V of a cell. */
const BELOW_CUTOFF_V = 0.35;
const CURVE_POINTS = 300;

function factorOf({ steps, reserve }: Pick<Use, "steps" | "reserve">): number {
  const factor = CARRIED_ON / (1 - reserve);
  const fades = steps.some(({ resistanceOhm, standardLoad }) => resistanceOhm != null || standardLoad != null);
  return fades ? Math.max(factor, 1 + (FADE * reserve) / (1 - reserve)) : factor;
}

export const demandFor = (use: Use, series: number): Demand => demandOf(use, series, factorOf(use));

/** Into how many stretches a prediction of a use is cut, its reserve with it: what it costs, in time and memory. */
export const stretchesOf = (use: Pick<Use, "steps" | "repeats" | "reserve">): number =>
  stretchesFor(use, factorOf(use));

export const limitsFor = (model: PackModel, use: Use) => ({
  startC: use.startC,
  ambientC: use.ambientC,
  endVolts: use.cutoffVoltsPerCell - BELOW_CUTOFF_V,
  endShare: MAX_CHARGE * model.range.chargeShare,
});

/** Predicts a use of a pack from its model. The same model and use give the same numbers. */
export function predictUse(model: PackModel, use: Use, whose: Whose): Prediction {
  const demand = demandFor(use, model.series);
  const limits = limitsFor(model, use);
  const passes = followAll(model, whose, demand, limits, use);
  const { expected } = passes;
  const { size, needed } = validityOf(model, expected, demand, use);
  const common = { of: whose.kind, grade: model.grade, durationS: demand.durationS, cautions: USE_CAUTIONS };
  const isNothing = size === 0 && needed.length > 0;
  const verdict = verdictOf(passes, demand, use, { size, maxShare: limits.endShare });
  if (isNothing) return { ...common, ...verdict, ...UNKNOWN, answered: false, needed };
  const below = expected.voltage.subarray(0, size).findIndex((volts) => volts < use.cutoffVoltsPerCell);
  const shown = Math.min(below < 0 ? size : below, lastOfUse(instants(demand), demand) + 1);
  let [charge, energy, peakA] = [0, 0, 0];
  for (let i = 0; i < shown; i++) {
    const drawn = (demand.seconds[i] as number) * (expected.current[i] as number);
    charge += drawn;
    energy += drawn * (expected.voltage[i] as number) * model.series;
    peakA = Math.max(peakA, expected.current[i] as number);
  }
  return {
    ...common,
    ...verdict,
    answered: true,
    needed: verdict.holds === null ? needed : [],
    curve: curveOf(passes, demand, model, shown, CURVE_POINTS),
    peakA,
    chargeAh: charge / 3600,
    energyWh: energy / 3600,
  };
}

const UNKNOWN = {
  holds: null,
  probability: null,
  marginVoltsPerCell: null,
  marginUncertainty: null,
  limit: null,
  lasts: null,
  shareLeft: null,
  curve: [],
  peakA: null,
  chargeAh: null,
  energyWh: null,
} as const;
