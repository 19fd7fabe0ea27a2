import type { Trace } from "../../src/core/model.js";
import { resistanceAt, type SourceResistance } from "../../src/core/translation/source.js";

/** A pack as an open-circuit voltage that falls with the charge drawn (As), behind a resistance that grows with time. */
export interface ModelPack {
  readonly openCircuitVolts: (charge: number) => number;
  readonly resistance: SourceResistance;
}

/**
 * The run of such a pack under a load of `loadOhm`, solved as dq/dt = U(q) / (R_load + R(t)) by the classic Runge-Kutta
 * method in steps of 10 ms, sampled at `rateHz`, until its voltage is below `untilVolts`.
 */
export function pulledBy(loadOhm: number, pack: ModelPack, untilVolts: number, rateHz = 20): Trace {
  const step = 0.01;
  const current = (t: number, charge: number) =>
    pack.openCircuitVolts(charge) / (loadOhm + resistanceAt(pack.resistance, t));
  const times: number[] = [];
  const amperes: number[] = [];
  let charge = 0;
  for (let n = 0; ; n++) {
    const t = n * step;
    const k1 = current(t, charge);
    if (n % Math.round(1 / (step * rateHz)) === 0) {
      times.push(t);
      amperes.push(k1);
      if (k1 * loadOhm < untilVolts) break;
    }
    const k2 = current(t + step / 2, charge + (step / 2) * k1);
    const k3 = current(t + step / 2, charge + (step / 2) * k2);
    const k4 = current(t + step, charge + step * k3);
    charge += (step / 6) * (k1 + 2 * k2 + 2 * k3 + k4);
  }
  return {
    time: Float64Array.from(times),
    current: Float64Array.from(amperes),
    voltage: Float64Array.from(amperes, (one) => one * loadOhm),
    temperature: null,
  };
}
