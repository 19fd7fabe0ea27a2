import type { RunFacts } from "../../src/core/evaluate.js";

/**
 * A source of 50.4 V behind 20 mohm and one relaxation of 10 mohm and 2000 F (tau = 20 s), rested, under I1 = 4 A for 10 s and then
 * I2 = 20 A for 1.2 s, solved by hand (closed form, derived). The relaxation's voltage is
 * v(t) = I1 R1 (1 - exp(-t / tau)) up to t = 10 s, then I2 R1 + (v(10) - I2 R1) exp(-(t - 10) / tau); V = E - I R0 - v.
 * Read at the instants 10 s and 11 s, (U1 - U2) / (I2 - I1) = R0 + R1 (I2 - I1 a) b / (I2 - I1) with a = 1 - exp(-10 s / tau)
 * and b = 1 - exp(-1 s / tau).
 */
const [E, R0, R1, TAU] = [50.4, 0.02, 0.01, 20] as const;
const [I1, I2, SECOND_S, END_S, REST_S] = [4, 20, 10, 11.2, 3] as const;
/** The steps of the current take a microsecond of the log. */
const STEP_S = 1e-6;
const RATE_HZ = 100;

export const TWO_PULSE_NAME = "closed-form-two-pulse";

const first = (t: number) => I1 * R1 * (1 - Math.exp(-t / TAU));
const second = (t: number) => I2 * R1 + (first(SECOND_S) - I2 * R1) * Math.exp(-(t - SECOND_S) / TAU);
const amperes = (t: number) => (t < SECOND_S ? I1 : I2);
const volts = (t: number) => E - amperes(t) * R0 - (t < SECOND_S ? first(t) : second(t));

/** Means over [a, b] within one pulse. */
const meanFirst = (a: number, b: number) =>
  E - I1 * (R0 + R1) + (I1 * R1 * TAU * (Math.exp(-a / TAU) - Math.exp(-b / TAU))) / (b - a);
const meanSecond = (a: number, b: number) => {
  const decay = (t: number) => Math.exp(-(t - SECOND_S) / TAU);
  return E - I2 * (R0 + R1) - ((first(SECOND_S) - I2 * R1) * TAU * (decay(a) - decay(b))) / (b - a);
};

export const twoPulseForm = {
  /** Read over the windows of docs/definitions.md, 25, mohm. */
  overWindows: (1000 * (meanFirst(9.4, 9.9) - meanSecond(10.9, 11))) / (I2 - I1),
  /** Read at the instants, as the standard has it, mohm. */
  atInstants: 1000 * (R0 + (R1 * (I2 - I1 * (1 - Math.exp(-10 / TAU))) * (1 - Math.exp(-1 / TAU))) / (I2 - I1)),
  cells: 12,
  itA: I2,
};

/** The log at 100 Hz in the layout of the others, and its metadata. */
export function twoPulseLog(): {
  readonly rows: readonly string[];
  readonly metadata: RunFacts & { readonly protocol: object; readonly shows: string };
} {
  const row = (t: number, v: number, i: number) => `${(REST_S + t).toFixed(6)},${v.toFixed(12)},${i}`;
  const sampled = (from: number, to: number) =>
    Array.from({ length: Math.round((to - from) * RATE_HZ) }, (_, i) => from + i / RATE_HZ);
  const rest = [...sampled(-REST_S, 0), -STEP_S].map((t) => row(t, E, 0));
  const loaded = [...sampled(0, SECOND_S), SECOND_S - STEP_S, ...sampled(SECOND_S, END_S), END_S];
  const relaxed = (t: number) => E - second(END_S) * Math.exp(-(t - END_S) / TAU);
  const after = sampled(END_S, END_S + 2).map((t) => row(t + STEP_S, relaxed(t), 0));
  return {
    rows: ["Time [s],Voltage [V],Current [A]", ...rest, ...loaded.map((t) => row(t, volts(t), amperes(t))), ...after],
    metadata: {
      shows: "two pulses on a source with a closed form: no noise, no temperature",
      protocol: { key: "two-pulse", version: 1 },
      pack: {
        chemistry: "lipo",
        series: 12,
        parallel: 1,
        ratedCapacityMah: 20_000,
        labelContinuousC: null,
        labelBurstC: null,
        massGrams: null,
      },
      bench: {
        load: { kind: "constant-current" },
        voltage: { percent: 0.01, offset: 0.001 },
        current: { percent: 0.1, offset: 0.01 },
        temperature: null,
        sense: { point: "pack" },
      },
      conditions: { ambientC: 20, restMinutes: 90, cycles: 1, setpointA: null, stateOfChargePercent: 100 },
    },
  };
}
