import { type Demand, loadAmperes } from "./demand.js";
import type { PackModel } from "./pack-model.js";

const { exp, min, round } = Math;

/**
 * The load is removed `delaySeconds` after the voltage first reached `volts` or the pack `celsius`, or at `latestSeconds`
 * under load.
 */
export interface StopPlan {
  readonly volts: number;
  readonly celsius?: number;
  readonly delaySeconds: number;
  readonly latestSeconds: number;
}

export interface DischargePlan {
  readonly pack: PackModel;
  readonly demand: Demand;
  readonly ambientC: number;
  readonly startC: number;
  /** Coulombs already missing when the rest before the load begins. */
  readonly chargeMissingC: number;
  readonly restSeconds: number;
  readonly stop: StopPlan;
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

const FINE_STEP_SECONDS = 0.005;
/** A current that steps at the end of a step is not yet the new one within it. */
const JUST_BEFORE_END = 1 - 1e-9;

/**
 * Solves the pack under its load by the classical Runge-Kutta method of fourth order with a fixed step.
 * See seed/README.md for the equations.
 */
export function simulateDischarge(plan: DischargePlan): Discharge {
  const h = plan.stepSeconds ?? FINE_STEP_SECONDS;
  const restSteps = round(plan.restSeconds / h);
  const afterSteps = round(plan.afterSeconds / h);
  const circuit = new Circuit(plan);
  const time: number[] = [];
  const voltage: number[] = [];
  const current: number[] = [];
  const temperature: number[] = [];
  let stopAtSeconds = plan.stop.latestSeconds;
  let stopSeen = false;
  let lastStep = Number.POSITIVE_INFINITY;

  for (let step = -restSteps; step <= lastStep; step += 1) {
    const seconds = step * h;
    const loaded = step >= 0 && seconds < stopAtSeconds + h / 2;
    if (!loaded && step > 0 && lastStep === Number.POSITIVE_INFINITY) lastStep = step + afterSteps;
    circuit.look(seconds, loaded);
    const { amperes, volts, celsius } = circuit;
    time.push(seconds);
    voltage.push(volts);
    current.push(amperes);
    temperature.push(celsius);
    const isHot = celsius >= (plan.stop.celsius ?? Number.POSITIVE_INFINITY);
    if (loaded && !stopSeen && (volts <= plan.stop.volts || isHot)) {
      stopSeen = true;
      stopAtSeconds = min(stopAtSeconds, seconds + plan.stop.delaySeconds);
    }
    circuit.advance(seconds, h, loaded);
  }
  return {
    stepSeconds: h,
    time: Float64Array.from(time),
    voltage: Float64Array.from(voltage),
    current: Float64Array.from(current),
    temperature: Float64Array.from(temperature),
  };
}

/** Places in the state: charge drawn (C), temperature (degC), then the voltage of each branch (V). */
const CHARGE = 0;
const TEMPERATURE = 1;
const BRANCHES = 2;

/** The pack's differential equations; works in place, for a run takes some hundred thousand evaluations. */
class Circuit {
  /** Of the state, as it was last looked at. */
  amperes = 0;
  volts = 0;
  celsius = 0;
  private factor = 1;
  private readonly state: Float64Array;
  private readonly slopes: readonly Float64Array[];
  private readonly trial: Float64Array;

  constructor(private readonly plan: DischargePlan) {
    const size = BRANCHES + plan.pack.branches.length;
    this.state = new Float64Array(size);
    this.state[CHARGE] = plan.chargeMissingC;
    this.state[TEMPERATURE] = plan.startC;
    this.slopes = [0, 1, 2, 3].map(() => new Float64Array(size));
    this.trial = new Float64Array(size);
  }

  /** Reads current, voltage and temperature at the terminals. */
  look(seconds: number, loaded: boolean): void {
    const { demand, pack } = this.plan;
    this.factor = this.resistanceFactor(this.state);
    const ohm = pack.seriesOhm * this.factor;
    const source = this.sourceVolts(this.state);
    this.amperes = loaded ? loadAmperes(demand, seconds, source, ohm) : 0;
    this.volts = source - this.amperes * ohm;
    this.celsius = this.state[TEMPERATURE] as number;
  }

  /** One step of the classical Runge-Kutta method, from the state that was looked at. */
  advance(seconds: number, h: number, loaded: boolean): void {
    const { state, trial, plan } = this;
    const [k1, k2, k3, k4] = this.slopes as [Float64Array, Float64Array, Float64Array, Float64Array];
    this.rates(state, this.amperes, this.factor, k1);
    along(state, k1, h / 2, trial);
    this.ratesAt(trial, seconds + h / 2, loaded, k2);
    along(state, k2, h / 2, trial);
    this.ratesAt(trial, seconds + h / 2, loaded, k3);
    along(state, k3, h, trial);
    this.ratesAt(trial, seconds + h * (plan.demand.steps ? JUST_BEFORE_END : 1), loaded, k4);
    for (let i = 0; i < state.length; i += 1) {
      const sum = (k1[i] as number) + 2 * (k2[i] as number) + 2 * (k3[i] as number) + (k4[i] as number);
      state[i] = (state[i] as number) + (h / 6) * sum;
    }
  }

  private ratesAt(state: Float64Array, seconds: number, loaded: boolean, into: Float64Array): void {
    const { demand, pack } = this.plan;
    const factor = this.resistanceFactor(state);
    const amperes = loaded ? loadAmperes(demand, seconds, this.sourceVolts(state), pack.seriesOhm * factor) : 0;
    this.rates(state, amperes, factor, into);
  }

  private rates(state: Float64Array, amperes: number, factor: number, into: Float64Array): void {
    const { pack, ambientC } = this.plan;
    let heatW = amperes ** 2 * pack.seriesOhm * factor;
    for (let i = 0; i < pack.branches.length; i += 1) {
      const branch = pack.branches[i] as PackModel["branches"][number];
      const volts = state[BRANCHES + i] as number;
      const ohm = branch.ohm * factor;
      into[BRANCHES + i] = (amperes - volts / ohm) / branch.farad;
      heatW += volts ** 2 / ohm;
    }
    const lossW = pack.heatLossWPerK * ((state[TEMPERATURE] as number) - ambientC);
    into[CHARGE] = amperes;
    into[TEMPERATURE] = (heatW - lossW) / pack.heatCapacityJPerK;
  }

  private sourceVolts(state: Float64Array): number {
    let volts = this.plan.pack.openCircuitVolts(state[CHARGE] as number);
    for (let i = BRANCHES; i < state.length; i += 1) volts -= state[i] as number;
    return volts;
  }

  private resistanceFactor(state: Float64Array): number {
    return exp(-this.plan.pack.resistanceFallPerKelvin * ((state[TEMPERATURE] as number) - 25));
  }
}

function along(state: Float64Array, slope: Float64Array, by: number, into: Float64Array): void {
  for (let i = 0; i < state.length; i += 1) into[i] = (state[i] as number) + by * (slope[i] as number);
}
