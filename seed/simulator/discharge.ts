import { type Demand, demandedAmperes, rampShare } from "./demand.js";
import type { PackModel } from "./pack-model.js";

export interface DischargePlan {
  readonly pack: PackModel;
  readonly demand: Demand;
  readonly ambientC: number;
  readonly startC: number;
  /** Coulombs already missing when the rest before the load begins. */
  readonly chargeMissingC: number;
  readonly restSeconds: number;
  /** The load is removed `delaySeconds` after the voltage first reached `volts`, or at `latestSeconds` under load. */
  readonly stop: { readonly volts: number; readonly delaySeconds: number; readonly latestSeconds: number };
  readonly afterSeconds: number;
  readonly stepSeconds?: number;
}

/** The solution at the pack's terminals; time 0 is when the load is switched on. */
export interface Discharge {
  readonly stepSeconds: number;
  readonly time: Float64Array;
  readonly voltage: Float64Array;
  readonly current: Float64Array;
  readonly temperature: Float64Array;
}

export const FINE_STEP_SECONDS = 0.005;

/** State: charge drawn (C), temperature (degC), then the voltage of each branch (V). */
type State = readonly number[];

/**
 * Solves the pack under its load by the classical Runge-Kutta method of fourth order with a fixed step.
 * See seed/README.md for the equations.
 */
export function simulateDischarge(plan: DischargePlan): Discharge {
  const h = plan.stepSeconds ?? FINE_STEP_SECONDS;
  const restSteps = Math.round(plan.restSeconds / h);
  const afterSteps = Math.round(plan.afterSeconds / h);
  const rows: number[][] = [];
  let state: State = [plan.chargeMissingC, plan.startC, ...plan.pack.branches.map(() => 0)];
  let stopAtSeconds = plan.stop.latestSeconds;
  let stopSeen = false;
  let lastStep = Number.POSITIVE_INFINITY;

  for (let step = -restSteps; step <= lastStep; step += 1) {
    const seconds = step * h;
    const loaded = step >= 0 && seconds < stopAtSeconds + h / 2;
    if (!loaded && step > 0 && lastStep === Number.POSITIVE_INFINITY) lastStep = step + afterSteps;
    const at = (now: State, t: number) => terminals(plan, now, loaded ? t : null);
    const { volts, amperes } = at(state, seconds);
    rows.push([seconds, volts, amperes, state[1] as number]);
    if (loaded && !stopSeen && volts <= plan.stop.volts) {
      stopSeen = true;
      stopAtSeconds = Math.min(stopAtSeconds, seconds + plan.stop.delaySeconds);
    }
    const slope = (now: State, t: number) => rates(plan, now, at(now, t).amperes);
    state = rungeKuttaStep(slope, state, seconds, h);
  }
  const column = (index: number) => Float64Array.from(rows, (row) => row[index] as number);
  return { stepSeconds: h, time: column(0), voltage: column(1), current: column(2), temperature: column(3) };
}

function resistanceFactor(plan: DischargePlan, state: State): number {
  return Math.exp(-plan.pack.resistanceFallPerKelvin * ((state[1] as number) - 25));
}

function terminals(plan: DischargePlan, state: State, loadedSeconds: number | null) {
  const relaxation = state.slice(2).reduce((sum, volts) => sum + volts, 0);
  const source = plan.pack.openCircuitVolts(state[0] as number) - relaxation;
  const ohm = plan.pack.seriesOhm * resistanceFactor(plan, state);
  const amperes =
    loadedSeconds === null ? 0 : rampShare(plan.demand, loadedSeconds) * demandedAmperes(plan.demand, source, ohm);
  return { volts: source - amperes * ohm, amperes };
}

function rates(plan: DischargePlan, state: State, amperes: number): State {
  const { pack } = plan;
  const factor = resistanceFactor(plan, state);
  const branchRates: number[] = [];
  let heatW = amperes ** 2 * pack.seriesOhm * factor;
  pack.branches.forEach((branch, index) => {
    const volts = state[index + 2] as number;
    const ohm = branch.ohm * factor;
    branchRates.push((amperes - volts / ohm) / branch.farad);
    heatW += volts ** 2 / ohm;
  });
  const lossW = pack.heatLossWPerK * ((state[1] as number) - plan.ambientC);
  return [amperes, (heatW - lossW) / pack.heatCapacityJPerK, ...branchRates];
}

function rungeKuttaStep(slope: (state: State, t: number) => State, state: State, t: number, h: number): State {
  const along = (rate: State, by: number) => state.map((value, i) => value + by * (rate[i] as number));
  const k1 = slope(state, t);
  const k2 = slope(along(k1, h / 2), t + h / 2);
  const k3 = slope(along(k2, h / 2), t + h / 2);
  const k4 = slope(along(k3, h), t + h);
  return state.map((value, i) => {
    const sum = (k1[i] as number) + 2 * (k2[i] as number) + 2 * (k3[i] as number) + (k4[i] as number);
    return value + (h / 6) * sum;
  });
}
