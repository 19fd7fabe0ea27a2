import type { PackFacts } from "../../src/core/model.js";
import { standardOhmPerCell } from "../../src/core/translation/standard-loads.js";
import { CELL_VOLTS } from "./chemistry.js";
import { type Discharge, type DischargePlan, simulateDischarge } from "./discharge.js";
import { type Piecewise, piecewise } from "./piecewise.js";

/** Noise-free figures of a simulated run, in the units of docs/definitions.md; a figure not reached is absent. */
export type TrueFigures = Readonly<Record<string, number>>;

export interface Truth {
  /** Under the run's own load. */
  readonly own: TrueFigures;
  /** The same pack from the same start under the standard load of so many amperes, which comes on at once. */
  at(loadA: number): TrueFigures;
}

const TEMPERATURE_LIMIT_C = 60;
const HOLD_BELOW_CUTOFF_SECONDS = 0.5;
const LATEST_SECONDS = 3600;

/** Figures of a plan and of the same plan under standard loads, from the fine-step solutions. */
export function trueFigures(plan: DischargePlan, facts: PackFacts): Truth {
  return {
    own: figuresOf(simulateDischarge(plan), facts),
    at: (loadA) => figuresOf(simulateDischarge(underStandardLoad(plan, facts, loadA)), facts),
  };
}

function underStandardLoad(plan: DischargePlan, facts: PackFacts, loadA: number): DischargePlan {
  return {
    ...plan,
    demand: { kind: "constant-resistance", level: facts.series * standardOhmPerCell(loadA), riseSeconds: 0 },
    stop: {
      volts: facts.series * (CELL_VOLTS[facts.chemistry].cutoff - 0.05),
      delaySeconds: HOLD_BELOW_CUTOFF_SECONDS,
      latestSeconds: LATEST_SECONDS,
    },
  };
}

interface Channels {
  readonly V: Piecewise;
  readonly I: Piecewise;
  readonly P: Piecewise;
  readonly T: Piecewise;
}

/** The definitions of docs/definitions.md on a noise-free solution whose rest carries no current. */
export function figuresOf(run: Discharge, facts: PackFacts): TrueFigures {
  const start = run.time[0] as number;
  const over = (values: Float64Array) => piecewise(start, run.stepSeconds, values);
  const power = run.voltage.map((volts, i) => volts * (run.current[i] as number));
  const channels = { V: over(run.voltage), I: over(run.current), P: over(power), T: over(run.temperature) };

  const loadAmperes = typicalLoadAmperes(run);
  const onset = crossing(run.time, run.current, (amperes) => amperes >= loadAmperes / 2);
  const released = lastLoaded(run, 0.1 * loadAmperes);
  const cutoffVolts = facts.series * CELL_VOLTS[facts.chemistry].cutoff;
  const cutoff = cutoffSeconds(run, onset, released, cutoffVolts);
  const end = (cutoff ?? released) - onset;
  const rest = { volts: run.voltage[0] as number, temperature: run.temperature[0] as number };
  return {
    ...peak(channels, onset, end),
    ...marks(channels, onset, end, cutoff !== null),
    ...resistances(channels, onset, end, rest.volts, facts),
    ...derived(channels, onset, end, rest, facts),
    ...heat(channels, run, onset, end, rest.temperature),
    runtime: end,
  };
}

/** Instant at which a channel first satisfies the condition, interpolated to where its value stands half-way. */
function crossing(time: Float64Array, values: Float64Array, holds: (value: number) => boolean): number {
  const index = values.findIndex(holds);
  if (index < 1) return time[Math.max(index, 0)] as number;
  let [low, high] = [0, 1];
  const [before, after] = [values[index - 1] as number, values[index] as number];
  while (high - low > 1e-12) {
    const middle = (low + high) / 2;
    if (holds(before + middle * (after - before))) high = middle;
    else low = middle;
  }
  const t = time[index - 1] as number;
  return t + high * ((time[index] as number) - t);
}

function typicalLoadAmperes(run: Discharge): number {
  const largest = run.current.reduce((a, b) => Math.max(a, b), 0);
  const first = run.current.findIndex((amperes) => amperes > 0.05 * largest);
  const window = run.current.slice(first, first + Math.round(5 / run.stepSeconds) + 1).sort();
  const middle = window.length / 2;
  return ((window[Math.ceil(middle) - 1] as number) + (window[Math.floor(middle)] as number)) / 2;
}

function lastLoaded(run: Discharge, amperes: number): number {
  return run.time[run.current.findLastIndex((value) => value >= amperes)] as number;
}

function cutoffSeconds(run: Discharge, onset: number, released: number, cutoffVolts: number): number | null {
  const loaded = run.voltage.map((volts, i) => {
    const t = run.time[i] as number;
    return t < onset || t > released ? Number.POSITIVE_INFINITY : volts;
  });
  const first = loaded.findIndex((volts) => volts <= cutoffVolts);
  const last = loaded.findLastIndex((volts) => volts <= cutoffVolts);
  if (first >= 0) {
    const below = loaded.slice(first, last + 1);
    if (below.some((volts) => volts > cutoffVolts)) throw new RangeError("The solution crosses its cutoff twice");
    return crossing(run.time, run.voltage, (volts) => volts <= cutoffVolts);
  }
  return null;
}

function peak({ V, I, P }: Channels, onset: number, end: number): TrueFigures {
  let best: { power: number; from: number } | null = null;
  for (let s = 0; s <= Math.min(4.5, end - 0.5); s += 0.001) {
    const power = P.mean(onset + s, onset + s + 0.5);
    if (best === null || power > best.power) best = { power, from: onset + s };
  }
  if (best === null) return {};
  const { power, from } = best;
  return { "power-peak": power, "voltage-peak": V.mean(from, from + 0.5), "current-peak": I.mean(from, from + 0.5) };
}

function marks({ V, I, P }: Channels, onset: number, end: number, cutoffReached: boolean): TrueFigures {
  const figures: Record<string, number> = {};
  const add = (mark: string, from: number, to: number) => {
    figures[`power-${mark}`] = P.mean(onset + from, onset + to);
    figures[`voltage-${mark}`] = V.mean(onset + from, onset + to);
    figures[`current-${mark}`] = I.mean(onset + from, onset + to);
  };
  for (const seconds of [10, 30]) if (end >= seconds + 0.5) add(`${seconds}s`, seconds - 0.5, seconds + 0.5);
  if (cutoffReached) add("cutoff", end - 0.5, end);
  return figures;
}

function resistances(
  { V, I }: Channels,
  onset: number,
  end: number,
  restVolts: number,
  { series, ratedCapacityMah }: PackFacts,
): TrueFigures {
  const figures: Record<string, number> = {};
  for (const seconds of [1, 10]) {
    const [from, to] = [onset + seconds - 0.5, onset + seconds + 0.5];
    if (end >= seconds + 0.5) {
      const ohm = (restVolts - V.mean(from, to)) / I.mean(from, to);
      figures[`resistance-${seconds}s`] = 1000 * ohm;
      figures[`resistance-${seconds}s-per-cell`] = (1000 * ohm) / series;
      figures[`resistance-${seconds}s-times-it`] = ((ohm / series) * ratedCapacityMah) / 1000;
    }
  }
  return figures;
}

function derived(
  channels: Channels,
  onset: number,
  end: number,
  rest: { readonly volts: number },
  facts: PackFacts,
): TrueFigures {
  const capacity = channels.I.integral(onset, onset + end) / 3.6;
  const energy = channels.P.integral(onset, onset + end) / 3600;
  const figures: Record<string, number> = { capacity, energy, "capacity-share": capacity / facts.ratedCapacityMah };
  const at = marks(channels, onset, end, false);
  const top = peak(channels, onset, end)["power-peak"];
  const { "power-10s": power10, "power-30s": power30, "voltage-10s": volts10 } = at;
  if (volts10 !== undefined) figures["sag-10s"] = (rest.volts - volts10) / facts.series;
  if (power30 !== undefined && top !== undefined) figures["hold-30s"] = power30 / top;
  if (facts.massGrams !== null) {
    figures["specific-energy"] = (1000 * energy) / facts.massGrams;
    if (power10 !== undefined) figures["specific-power-10s"] = (1000 * power10) / facts.massGrams;
  }
  return figures;
}

function heat({ T }: Channels, run: Discharge, onset: number, end: number, startC: number): TrueFigures {
  const figures: Record<string, number> = {};
  let warmest = Number.NEGATIVE_INFINITY;
  for (let s = 0; s <= end - 1; s += 0.01) warmest = Math.max(warmest, T.mean(onset + s, onset + s + 1));
  if (end >= 1) {
    warmest = Math.max(warmest, T.mean(onset + end - 1, onset + end));
    figures["temperature-rise"] = warmest - startC;
  }
  if (T.at(onset + end) >= TEMPERATURE_LIMIT_C) {
    figures["time-to-limit"] = crossing(run.time, run.temperature, (value) => value >= TEMPERATURE_LIMIT_C) - onset;
  }
  return figures;
}
