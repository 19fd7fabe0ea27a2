import type { Trace } from "../../src/core/model.js";

/** A resistance that grows with the logarithm of the time under load, from 0.5 to 60 s: R_1 + b ln t. */
interface GrowingResistance {
  readonly earlyOhm: number;
  readonly growthOhm: number;
}

const resistanceAt = ({ earlyOhm, growthOhm }: GrowingResistance, seconds: number): number =>
  earlyOhm + growthOhm * Math.log(Math.min(60, Math.max(0.5, seconds)));

/** A pack as an open-circuit voltage that falls with the charge drawn (As), behind a resistance that grows with time. */
export interface ModelPack {
  readonly openCircuitVolts: (charge: number) => number;
  readonly resistance: GrowingResistance;
}

/** Seconds logged after the load was removed. */
const AFTER_S = 6;

/**
 * The run of such a pack under a load of `loadOhm`, solved as dq/dt = U(q) / (R_load + R(t)) by the classic Runge-Kutta
 * method in steps of 10 ms, sampled at `rateHz`, until its voltage is below `untilVolts`. Then the load is removed, and the
 * voltage comes back by I R(t), t counted from there. The pack does not warm.
 */
export function pulledBy(loadOhm: number, pack: ModelPack, untilVolts: number, rateHz = 20): Trace {
  const step = 0.01;
  const drawn = (t: number, charge: number) =>
    pack.openCircuitVolts(charge) / (loadOhm + resistanceAt(pack.resistance, t));
  const times: number[] = [];
  const amperes: number[] = [];
  let charge = 0;
  for (let n = 0; ; n++) {
    const t = n * step;
    const k1 = drawn(t, charge);
    if (n % Math.round(1 / (step * rateHz)) === 0) {
      times.push(t);
      amperes.push(k1);
      if (k1 * loadOhm < untilVolts) break;
    }
    const k2 = drawn(t + step / 2, charge + (step / 2) * k1);
    const k3 = drawn(t + step / 2, charge + (step / 2) * k2);
    const k4 = drawn(t + step, charge + step * k3);
    charge += (step / 6) * (k1 + 2 * k2 + 2 * k3 + k4);
  }
  const current = Float64Array.from(amperes);
  const loaded = { time: Float64Array.from(times), current, voltage: current.map((amps) => amps * loadOhm) };
  return thenReleased(loaded, pack.resistance, rateHz);
}

/** A run under load, and 6 s after its load was removed. */
export function thenReleased(run: Omit<Trace, "temperature">, resistance: GrowingResistance, rateHz = 20): Trace {
  const [endS, endV, endA] = [run.time, run.voltage, run.current].map((values) => values.at(-1) as number) as [
    number,
    number,
    number,
  ];
  const after = Array.from({ length: AFTER_S * rateHz }, (_, i) => (i + 1) / rateHz);
  const back = after.map((t) => endV + endA * resistanceAt(resistance, t));
  return {
    time: Float64Array.from([...run.time, ...after.map((t) => endS + t)]),
    voltage: Float64Array.from([...run.voltage, ...back]),
    current: Float64Array.from([...run.current, ...after.map(() => 0)]),
    temperature: null,
  };
}

/** Instant of the last sample under load. */
export const loadEndOf = ({ time, current }: Trace): number =>
  time[current.findLastIndex((amps) => amps > 0)] as number;
