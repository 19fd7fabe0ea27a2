import { hypot } from "../numerics/hypot.js";
import { pow } from "../numerics/library.js";
import { square } from "../numerics/square.js";
import type { Estimate } from "../statistics/estimate.js";
import { rectangular } from "../uncertainty/noise.js";
import { propagate } from "../uncertainty/propagate.js";
import { fitHeatBalance, type HeatBalance, temperatureAfter, type Warming } from "./heat-balance.js";

/** One step of a ladder with its warming curve; the curve ends at the step's end or at the temperature limit. */
export interface WarmedStep extends Warming {
  readonly capacityMah: number;
  readonly passes: boolean;
}

/** Standard uncertainties that all steps of a ladder share. */
export interface SharedUncertainty {
  /** Of the temperature probe, K. */
  readonly temperatureK: number;
  /** Of the declared temperature of the surroundings, K. */
  readonly ambientK: number;
  /** Of the current's gain, as a share. */
  readonly currentShare: number;
}

/** The capacity to the cutoff falls as I^-x; x between 0 and 0.1 (common practice: exponents of Peukert's law up to 1.1). */
const CAPACITY_EXPONENT = 0.05;
const CAPACITY_EXPONENT_HALF_WIDTH = 0.05;
/** What the lumped balance itself is worth, as a share of the current: found on simulated packs with two relaxations. */
const MODEL_SHARE = 0.008;
const BISECTIONS = 60;

/**
 * The constant current at which a specimen would reach the temperature limit and the voltage cutoff at the same instant, A,
 * from the heat balance fitted on all steps, between the brackets.
 *
 * At the ends of both bracket steps the fit misses the measured temperature by a little; what it misses there is carried
 * linearly in between. Probe, surroundings and capacity are moved by their standard uncertainties and the estimate is
 * computed again; the current's gain, the misfit of the balance over the steps, and what the balance leaves out are parts of their own.
 *
 * @param steps with at least one that passes and one that fails
 * @returns null when the balance fits nothing, or the estimate would lie outside of the brackets
 */
export function limitCurrent(steps: readonly WarmedStep[], limitC: number, shared: SharedUncertainty): Estimate | null {
  const best = solve(steps, limitC, CAPACITY_EXPONENT);
  if (!best) return null;
  const { currentA, halfBracketA } = best;
  const uncertainties = [shared.temperatureK, shared.ambientK, rectangular(CAPACITY_EXPONENT_HALF_WIDTH)];
  // Where a move takes the estimate out of the brackets, no more is known than that it lies between them.
  const { covariance } = propagate(
    ([limit = 0, ambientMoveK = 0, exponent = 0]) => {
      const moved = steps.map((step) => ({ ...step, ambientC: step.ambientC + ambientMoveK }));
      return [solve(moved, limit, exponent)?.currentA ?? Number.NaN];
    },
    [limitC, 0, CAPACITY_EXPONENT],
    uncertainties.map((one, i) => uncertainties.map((_, j) => (i === j ? square(one) : 0))),
  );
  const variance = covariance[0]?.[0] ?? Number.NaN;
  const moves = Number.isNaN(variance) ? halfBracketA : Math.sqrt(variance);
  const share = currentA * hypot(shared.currentShare, MODEL_SHARE);
  return { value: currentA, uncertainty: hypot(moves, share, best.misfitK / best.kelvinPerAmpere) };
}

interface Solution {
  readonly currentA: number;
  readonly kelvinPerAmpere: number;
  readonly misfitK: number;
  readonly halfBracketA: number;
}

function solve(steps: readonly WarmedStep[], limitC: number, exponent: number): Solution | null {
  const failing = steps.filter(({ passes }) => !passes).sort((a, b) => a.currentA - b.currentA)[0];
  const passing = steps
    .filter(({ passes, currentA }) => passes && failing !== undefined && currentA < failing.currentA)
    .sort((a, b) => b.currentA - a.currentA)[0];
  const balance = fitHeatBalance(steps);
  if (!passing || !failing || !balance) return null;
  const [low, high] = [missAtEnd(balance, passing), missAtEnd(balance, failing)];
  const conditions = meanConditions(passing, failing);
  const endTemperature = (currentA: number) => {
    const share = (currentA - passing.currentA) / (failing.currentA - passing.currentA);
    const capacityMah = passing.capacityMah * pow(currentA / passing.currentA, -exponent);
    const seconds = (capacityMah * 3.6) / currentA;
    return temperatureAfter(balance, { ...conditions, currentA }, seconds) + low + share * (high - low);
  };
  const currentA = rootBetween((amps) => endTemperature(amps) - limitC, passing.currentA, failing.currentA);
  if (currentA === null) return null;
  const step = 0.01 * currentA;
  const kelvinPerAmpere = (endTemperature(currentA + step) - endTemperature(currentA - step)) / (2 * step);
  return {
    currentA,
    kelvinPerAmpere,
    misfitK: misfit(balance, steps),
    halfBracketA: (failing.currentA - passing.currentA) / 2,
  };
}

const endOf = ({ time, temperature }: Warming): [number, number] => [
  time.at(-1) as number,
  temperature.at(-1) as number,
];

/** Measured minus fitted temperature at the end of a step, K. */
function missAtEnd(balance: HeatBalance, step: Warming): number {
  const [seconds, celsius] = endOf(step);
  return celsius - temperatureAfter(balance, step, seconds);
}

const meanConditions = (one: Warming, other: Warming) => ({
  startC: (one.startC + other.startC) / 2,
  ambientC: (one.ambientC + other.ambientC) / 2,
});

/** Root of the mean square of the misfit at the steps' ends about its mean, K. */
function misfit(balance: HeatBalance, steps: readonly Warming[]): number {
  const misses = steps.map((step) => missAtEnd(balance, step));
  const mean = misses.reduce((sum, one) => sum + one, 0) / misses.length;
  return Math.sqrt(misses.reduce((sum, one) => sum + square(one - mean), 0) / misses.length);
}

/** Where a rising function is 0 between two points; null when it is not. */
function rootBetween(f: (x: number) => number, from: number, to: number): number | null {
  let [low, high] = [from, to];
  if (!(f(low) <= 0 && f(high) >= 0)) return null;
  for (let round = 0; round < BISECTIONS; round++) {
    const middle = (low + high) / 2;
    if (f(middle) < 0) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}
