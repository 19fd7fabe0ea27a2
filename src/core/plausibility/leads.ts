import { loadedStretch } from "../copies/residual.js";
import type { Trace } from "../model.js";
import { exp } from "../numerics/library.js";
import { square } from "../numerics/square.js";
import { powerOf } from "../trace/power.js";
import { COPPER_OHM_MM2_PER_M } from "../trace/sense.js";
import { integrate, mean } from "../trace/series.js";

/** Resistivity, ohm m. */
const COPPER_OHM_M = COPPER_OHM_MM2_PER_M / 1e6;
/** Density times specific heat of copper, J/(m3 K): 8960 kg/m3 and 385 J/(kg K) (textbook, from memory). */
const COPPER_J_PER_M3_K = 8960 * 385;
/** Conductor of the longest pair of leads of a bench, there and back, m; and how fast it loses its heat, s (common practice, no published source). */
const MAX_PAIR_M = 2;
const COOLING_S = 100;
const HALF_MARK_S = 0.5;
const MARK_S = 10;

/**
 * By how much the drop over leads, added to the voltage, raises the power at 10 s, % of the power at the sense point.
 *
 * @param trace with the drop added
 * @returns null where the load does not last so long, or nothing is added
 */
export function leadsRaise(trace: Trace, leadsOhm: number): number | null {
  const { fromS, toS } = loadedStretch(trace);
  const [from, to] = [fromS + MARK_S - HALF_MARK_S, fromS + MARK_S + HALF_MARK_S];
  if (!(leadsOhm > 0) || toS < to) return null;
  const squares = trace.current.map(square);
  const added = leadsOhm * mean(trace.time, squares, from, to);
  const sensed = mean(trace.time, powerOf(trace), from, to) - added;
  return sensed > 0 ? (100 * added) / sensed : null;
}

/**
 * How far a load would warm a pair of copper leads of 1 m that has some resistance, K: heat is rho J^2 for each volume, and J follows from resistance and
 * length, dT = R^2 / (rho l^2 c) times the integral of I^2 dt, less what is lost meanwhile. Shorter leads of that resistance are thinner and get hotter.
 */
export function leadsWarmedK(trace: Trace, leadsOhm: number): number {
  const { fromS, toS } = loadedStretch(trace);
  const heat = integrate(trace.time, trace.current.map(square), fromS, toS);
  const seconds = toS - fromS;
  const kept = (1 - exp(-seconds / COOLING_S)) / (seconds / COOLING_S);
  return (kept * heat * square(leadsOhm / MAX_PAIR_M)) / (COPPER_OHM_M * COPPER_J_PER_M3_K) || 0;
}
