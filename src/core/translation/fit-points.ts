import type { CellState } from "./cell-model.js";
import type { LoadedRun } from "./loaded-run.js";

/** One voltage that the model of a run is fitted to: the mean of neighbouring samples. */
export interface FitPoint extends CellState {
  /** V per cell. */
  readonly volts: number;
  /** Standard uncertainty given to it, V per cell. */
  readonly deviation: number;
  /** Whether it was read after the load was removed. */
  readonly recovery: boolean;
}

/** Bounds of the means early in a run, s from the instant at which the load is fully on. */
const EARLY_S = [0, 0.12, 0.25, 0.4, 0.6, 0.85, 1.15, 1.6, 2.2, 3, 4, 5.3, 7, 9, 11.5, 14.5, 18] as const;
/** From there on, this many means of equal charge. */
const EVEN_POINTS = 105;
/** Windows of the rest after the load, s from its end. */
const RECOVERY_S = [
  [0.35, 0.7],
  [0.8, 1.25],
  [1.6, 2.4],
  [3.2, 4.8],
  [4.9, 6.2],
] as const;
/** Samples this near to a bound, s and as a share of the run's charge, lie on it: which side of it they are on is rounding. */
const SAME_S = 1e-6;
const SAME_CHARGE = 1e-9;
const UNDER_LOAD_V = 0.002;
const AT_REST_V = 0.002;
const IN_RECOVERY_V = 0.003;
/** A voltage after the load counts as recovery while the current stays below this share of what it was. */
const REMOVED_SHARE = 0.1;

/** The voltages of a run that its model is fitted to: rest, load and recovery. `restVolts` per cell. */
export function fitPoints(run: LoadedRun, restVolts: number): FitPoint[] {
  const still = new Float64Array(1 + run.lagged.length);
  const rest: FitPoint = { u: 0, y: 0, currents: still, volts: restVolts, deviation: AT_REST_V, recovery: false };
  return [rest, ...loadPoints(run), ...recoveryPoints(run)];
}

function loadPoints(run: LoadedRun): FitPoint[] {
  const { time, charge, loaded, full } = run;
  const points: FitPoint[] = [];
  const fullS = time[full] as number;
  let from = full;
  const until = (to: number) => {
    if (to > from) points.push(meanPoint(run, from, to, UNDER_LOAD_V));
    from = Math.max(from, to);
  };
  for (const bound of EARLY_S.slice(1)) {
    let to = from;
    while (to < loaded && (time[to] as number) < fullS + bound - SAME_S) to++;
    until(to);
  }
  const start = charge[Math.min(from, loaded - 1)] as number;
  const whole = charge[loaded - 1] as number;
  for (let n = 1; n <= EVEN_POINTS; n++) {
    const bound = start + ((whole - start) * n) / EVEN_POINTS + SAME_CHARGE * whole;
    let to = from;
    while (to < loaded && ((charge[to] as number) <= bound || n === EVEN_POINTS)) to++;
    until(to);
  }
  return points;
}

function recoveryPoints(run: LoadedRun): FitPoint[] {
  const { time, current, loaded } = run;
  const endS = time[loaded - 1] as number;
  const limit = REMOVED_SHARE * (current[Math.max(0, loaded - 3)] as number);
  let removed = loaded;
  while (removed < time.length && Math.abs(current[removed] as number) > limit) removed++;
  const removedS = (time[removed] as number) ?? endS;
  const points: FitPoint[] = [];
  for (const [fromS, toS] of RECOVERY_S) {
    let from = removed;
    while (from < time.length && (time[from] as number) < removedS + fromS - SAME_S) from++;
    let to = from;
    while (to < time.length && (time[to] as number) <= removedS + toS + SAME_S) to++;
    if (to === from) continue;
    for (let i = from; i < to; i++) if (Math.abs(current[i] as number) > limit) return points;
    points.push(meanPoint(run, from, to, IN_RECOVERY_V));
  }
  return points;
}

function meanPoint(run: LoadedRun, from: number, to: number, deviation: number): FitPoint {
  const { voltage, current, charge, heat, lagged, loaded } = run;
  const mean = (values: Float64Array) => {
    let sum = 0;
    for (let i = from; i < to; i++) sum += values[i] as number;
    return sum / (to - from);
  };
  const currents = new Float64Array(1 + lagged.length);
  currents[0] = mean(current);
  lagged.forEach((values, j) => {
    currents[j + 1] = mean(values);
  });
  return {
    u: mean(charge) / (charge[loaded - 1] as number),
    y: mean(heat) / (heat[loaded - 1] as number),
    currents,
    volts: mean(voltage),
    deviation,
    recovery: from >= loaded,
  };
}
