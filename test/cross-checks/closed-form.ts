/**
 * A source of 50.4 V behind 20 mohm and one relaxation of 10 mohm and 2000 F (tau = 20 s), under 40 A for 180 s from a
 * rested state, solved by hand (closed form, derived): V = E - I R0 - I R1 (1 - exp(-t / tau)).
 */
const [E, I, R0, R1, TAU, END] = [50.4, 40, 0.02, 0.01, 20, 180] as const;
/** The step of the current takes a microsecond of the log. */
const STEP_SECONDS = 1e-6;

export const CLOSED_FORM_NAME = "closed-form-relaxation";

export const closedForm = {
  volts: (t: number) => E - I * R0 - I * R1 * (1 - Math.exp(-t / TAU)),
  meanVolts: (a: number, b: number) =>
    E - I * (R0 + R1) + (I * R1 * TAU * (Math.exp(-a / TAU) - Math.exp(-b / TAU))) / (b - a),
  amperes: I,
  restVolts: E,
  capacityMah: (I * END) / 3.6,
  /** 354559.96050886 J. */
  energyWh: 98.48887791912854,
  runtimeSeconds: END,
};

/** The log at 20 Hz in the layout of the others, and its metadata. */
export function closedFormLog(): { readonly rows: readonly string[]; readonly metadata: object } {
  const row = (t: number, volts: number, amperes: number) => `${t.toFixed(6)},${volts.toFixed(12)},${amperes}`;
  const rest = Array.from({ length: 60 }, (_, i) => row(i / 20, E, 0));
  const loaded = Array.from({ length: END * 20 + 1 }, (_, i) => row(3 + i / 20, closedForm.volts(i / 20), I));
  const relaxed = (t: number) => E - (E - I * R0 - closedForm.volts(END)) * Math.exp(-(t - END) / TAU);
  const after = Array.from({ length: 40 }, (_, i) => END + STEP_SECONDS + i / 20).map((t) => row(3 + t, relaxed(t), 0));
  return {
    rows: ["Time [s],Voltage [V],Current [A]", ...rest, row(3 - STEP_SECONDS, E, 0), ...loaded, ...after],
    metadata: {
      shows: "a step response with a closed form: no noise, no temperature, ended early by the operator",
      protocol: { key: "full-load", version: 1 },
      pack: {
        chemistry: "lipo",
        series: 12,
        parallel: 1,
        ratedCapacityMah: 2500,
        labelContinuousC: null,
        labelBurstC: null,
        massGrams: null,
      },
      bench: {
        load: { kind: "constant-current" },
        voltage: { percent: 0.1, offset: 0.005 },
        current: { percent: 0.3, offset: 0.1 },
        temperature: null,
        sense: { point: "pack" },
      },
      conditions: { ambientC: 20, restMinutes: 30, cycles: 1, setpointA: I },
    },
  };
}
