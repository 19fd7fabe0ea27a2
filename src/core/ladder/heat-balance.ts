import { expm1 } from "../numerics/library.js";
import { square } from "../numerics/square.js";
import { fitLeastSquares } from "../statistics/least-squares.js";
import type { WarmingCurve } from "./step.js";

/**
 * The lumped heat balance of a pack under constant current, m c dT/dt = I^2 R - h (T - T_amb), in the two numbers that
 * its temperature shows.
 */
export interface HeatBalance {
  /** R / (m c), K/(A^2 s). */
  readonly heatingPerSquare: number;
  /** h / (m c), 1/s: one over the time constant of the cooling. */
  readonly coolingRate: number;
}

/** A warming curve with the conditions that it was measured under. */
export interface Warming extends WarmingCurve {
  readonly currentA: number;
  readonly startC: number;
  readonly ambientC: number;
}

/** Points of each curve that the fit takes: it is smooth, and longer steps shall not outweigh shorter ones. */
const POINTS_PER_STEP = 40;

/**
 * Temperature after a time under constant current, degC: the solution of the heat balance,
 * T = T_s + (T_0 - T_s) exp(-b t) with T_s = T_amb + a I^2 / b; for b = 0 it is T_0 + a I^2 t.
 */
export function temperatureAfter(
  { heatingPerSquare, coolingRate }: HeatBalance,
  { currentA, startC, ambientC }: Pick<Warming, "currentA" | "startC" | "ambientC">,
  seconds: number,
): number {
  const decay = -expm1(-coolingRate * seconds);
  const heatedFor = coolingRate === 0 ? seconds : decay / coolingRate;
  return startC + heatingPerSquare * square(currentA) * heatedFor + (ambientC - startC) * decay;
}

/** The heat balance that fits the steps of a ladder best, or null when they do not determine one that warms the pack. */
export function fitHeatBalance(steps: readonly Warming[]): HeatBalance | null {
  const points = steps.flatMap((step) => pointsOf(step).map(([seconds, celsius]) => ({ step, seconds, celsius })));
  const [first] = steps;
  if (!first || points.length < 4) return null;
  const fit = fitLeastSquares(
    ([heatingPerSquare = 0, coolingRate = 0], { step, seconds }: (typeof points)[number]) =>
      temperatureAfter({ heatingPerSquare, coolingRate }, step, seconds),
    [startingHeating(first), STARTING_COOLING_RATE],
    points,
    points.map(({ celsius }) => celsius),
  );
  if (!fit) return null;
  const [heatingPerSquare = 0, coolingRate = 0] = fit.parameters;
  return heatingPerSquare > 0 ? { heatingPerSquare, coolingRate } : null;
}

/** 1/s: packs in still air cool over some twenty minutes (common practice). */
const STARTING_COOLING_RATE = 1 / 1200;

function startingHeating({ time, temperature, currentA, startC }: Warming): number {
  const last = time.length - 1;
  return ((temperature[last] as number) - startC) / (square(currentA) * (time[last] as number));
}

/** Some of the curve's samples, evenly spread, as pairs of time and temperature. */
function pointsOf({ time, temperature }: Warming): [number, number][] {
  const count = Math.min(POINTS_PER_STEP, time.length);
  return Array.from({ length: count }, (_, point) => {
    const i = count === 1 ? 0 : Math.round((point * (time.length - 1)) / (count - 1));
    return [time[i] as number, temperature[i] as number];
  });
}
