import { exp } from "../numerics/library.js";
import { earlyOhmOf, OHMIC, SHAPE } from "./cell-model.js";
import type { ModelState, RunModel } from "./cell-source.js";

/** Share of the reaction at the electrodes in the resistance after 1 s (common practice, no published source). */
const REACTION_SHARE = 0.32;
/** 2 R T / F at 25 degC, V. */
const REACTION_VOLTS = 0.0514;
/** Standard uncertainty of delta: this many times itself, and at least so much. */
const KINETICS_UNCERTAINTY = 1.2;
const MIN_KINETICS_UNCERTAINTY = 0.07;
/** What a run leaves open of the rise of the resistance toward its end, beside its fit. */
const END_RISE_UNCERTAINTY = { logged: 0.1, notLogged: 0.45 } as const;
/** A cell of LiFePO4 falls so steeply at its end that rise and open-circuit voltage are told apart worse. */
const PHOSPHATE_FACTOR = 1.8;
/** Standard uncertainty of the resistances that lag by 3 s and more, as a share of them. */
const SLOW_UNCERTAINTY = 0.2;
const FIRST_SLOW = 2;
const LAST_SLOW = 5;

/**
 * delta: by this share of the resistance after 1 s, a change of load meets less resistance than V / I says. The reaction at the electrodes
 * takes eta = (2 R T / F) asinh(I / 2 I0) (Butler and Volmer, symmetric), which grows ever slower with the current: with a = eta F / 2 R T, its
 * slope is tanh(a) / a of eta / I. No single run shows how much of its fall that is.
 */
export function kineticsOf({ fitted, current10sA }: RunModel): number {
  const a = (REACTION_SHARE * earlyOhmOf(fitted.unknowns) * current10sA) / REACTION_VOLTS;
  const twice = exp(-2 * a);
  return REACTION_SHARE * (1 - (1 - twice) / (1 + twice) / a);
}

export const bestState = (model: RunModel): ModelState => {
  return { kinetics: kineticsOf(model), unknowns: model.fitted.unknowns };
};

/** The model with delta moved by one standard uncertainty. */
export function kineticsMoved(model: RunModel): ModelState {
  const kinetics = kineticsOf(model);
  return {
    kinetics: kinetics + Math.max(MIN_KINETICS_UNCERTAINTY, KINETICS_UNCERTAINTY * kinetics),
    unknowns: model.fitted.unknowns,
  };
}

/** The model with each independent doubt about its resistances moved by one standard uncertainty, one after the other. */
export function resistanceMoved(model: RunModel): ModelState[] {
  const { fitted, chemistry, recoveryLogged } = model;
  const kinetics = kineticsOf(model);
  const moved = (changes: readonly (readonly [unknown: number, by: number])[]): ModelState => {
    const unknowns = fitted.unknowns.slice();
    for (const [i, by] of changes) unknowns[i] = (unknowns[i] as number) + by;
    return { kinetics, unknowns };
  };
  const all = Array.from({ length: OHMIC }, (_, i) => i);
  const columns = all.map((column) => moved(all.map((i) => [i, fitted.ohmicRoot[i * OHMIC + column] as number])));
  const factor = chemistry === "lifepo4" ? PHOSPHATE_FACTOR : 1;
  const rise = factor * (recoveryLogged ? END_RISE_UNCERTAINTY.logged : END_RISE_UNCERTAINTY.notLogged);
  const slow = all.slice(FIRST_SLOW, LAST_SLOW + 1);
  return [
    ...columns,
    moved([[SHAPE + 2, rise]]),
    moved(slow.map((i) => [i, SLOW_UNCERTAINTY * (fitted.unknowns[i] as number)])),
  ];
}
