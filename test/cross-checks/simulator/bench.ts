import type { BenchFacts, LoadKind } from "../../../src/core/model.js";
import { readersOf } from "./course-reader.js";
import type { Course } from "./discharge.js";
import { type Hold, readAsOf } from "./hold.js";
import type { Random } from "./random.js";
import { type Smoothing, smoothed } from "./smoothing.js";

/** How a channel really reads: (1 + gain) x truth + offset, normal noise, rounded to steps (0: not rounded). */
export interface Instrument {
  readonly gain: number;
  readonly offset: number;
  readonly noise: number;
  readonly step: number;
}

/** A tester's bench: what is stated of it, and what it really does. */
export interface SimulatedBench {
  readonly stated: Omit<BenchFacts, "load">;
  readonly rateHz: number;
  /** Largest departure of a sample's instant from the even grid, as a share of the interval. */
  readonly jitterShare: number;
  /** The logger's second is 1 + clockError of a true one. */
  readonly clockError: number;
  readonly voltage: Instrument;
  readonly current: Instrument;
  /** null: no probe. */
  readonly temperature: Instrument | null;
  /** The current of a row is that of so many seconds earlier. */
  readonly currentLagSeconds: number;
  /** What is smoothed before it is read; nothing when left out. */
  readonly smoothing?: { readonly voltage?: Smoothing; readonly current?: Smoothing };
  /** What is read at instants of its own (those of one hold are the same), and repeated in the rows until then; nothing when left out. */
  readonly holds?: { readonly voltage?: Hold; readonly current?: Hold; readonly temperature?: Hold };
  /** A logger that writes 0 for every current below a hundredth of the load. */
  readonly restReadsZero: boolean;
  readonly restSeconds: number;
  readonly rampSeconds: number;
  /** How far below the cutoff the load is taken off, V per cell. */
  readonly belowCutoffVolts: number;
  /** How long it has been there then, s; 0.5 when left out. */
  readonly belowCutoffSeconds?: number;
  readonly afterSeconds: number;
}

const EXACT: Instrument = { gain: 0, offset: 0, noise: 0, step: 0 };

/** A bench without error, at 20 Hz, that logs the rest before the load and the recovery after it. */
export const EXACT_BENCH: SimulatedBench = {
  stated: {
    voltage: { percent: 0, offset: 0 },
    current: { percent: 0, offset: 0 },
    temperature: { offset: 0 },
    sense: { point: "pack" },
  },
  rateHz: 20,
  jitterShare: 0,
  clockError: 0,
  voltage: EXACT,
  current: EXACT,
  temperature: EXACT,
  currentLagSeconds: 0,
  restReadsZero: false,
  restSeconds: 4,
  rampSeconds: 0.05,
  belowCutoffVolts: 0.05,
  afterSeconds: 6,
};

/** What a bench wrote down: a comma-separated log with a header, and its rows as numbers. */
export interface BenchLog {
  readonly csv: string;
  readonly time: readonly number[];
  readonly voltage: readonly number[];
  readonly current: readonly number[];
  readonly temperature: readonly number[] | null;
}

/** Shares of a run's largest current below which a logger that hides small currents writes 0. */
const HIDDEN_SHARE = 0.01;

/** The course as the bench logs it. Seconds of the log run from its own start. */
export function logCourse(course: Course, bench: SimulatedBench, random: Random): BenchLog {
  const read = readersOf(course);
  const [start, end] = [course.time[0] as number, course.time.at(-1) as number];
  const largest = course.current.reduce((a, b) => Math.max(a, b), 0);
  const reading = ({ gain, offset, noise, step }: Instrument, truth: number) => {
    const value = truth * (1 + gain) + offset + (noise > 0 ? noise * random.normal() : 0);
    return step > 0 ? Math.round(value / step) * step : value;
  };
  const rows = { time: [] as number[], voltage: [] as number[], current: [] as number[], temperature: [] as number[] };
  const phase = random.uniform();
  const { smoothing = {} } = bench;
  const volts = smoothing.voltage ? smoothed(read.V, start, smoothing.voltage) : (t: number) => read.V.at(t);
  const drawn = smoothing.current ? smoothed(read.I, start, smoothing.current) : (t: number) => read.I.at(t);
  const { holds = {} } = bench;
  const asOf = new Map(
    [holds.voltage, holds.current, holds.temperature].map((hold) => [hold, readAsOf(hold, start, end, random)]),
  );
  const held = (hold: Hold | undefined, read: (t: number) => number) => {
    const at = asOf.get(hold);
    let last = { at: Number.NaN, value: Number.NaN };
    return (t: number) => {
      const instant = at?.(t) ?? t;
      if (instant !== last.at) last = { at: instant, value: read(instant) };
      return last.value;
    };
  };
  const readCurrent = held(holds.current, (t) =>
    reading(bench.current, drawn(Math.max(start, t - bench.currentLagSeconds))),
  );
  const readVoltage = held(holds.voltage, (t) => reading(bench.voltage, volts(t)));
  const probe = bench.temperature;
  const readProbe = probe && held(holds.temperature, (t) => reading(probe, read.T.at(t)));
  for (let k = 0; ; k++) {
    const jitter = bench.jitterShare > 0 ? random.between(-bench.jitterShare, bench.jitterShare) : 0;
    const since = Math.max(0, k + phase + jitter) / bench.rateHz;
    const t = start + since;
    if (t > end) break;
    const amperes = readCurrent(t);
    rows.time.push(since * (1 + bench.clockError));
    rows.voltage.push(readVoltage(t));
    rows.current.push(bench.restReadsZero && Math.abs(amperes) < HIDDEN_SHARE * largest ? 0 : amperes);
    if (readProbe) rows.temperature.push(readProbe(t));
  }
  const temperature = bench.temperature ? rows.temperature : null;
  return { ...rows, temperature, csv: csvOf({ ...rows, temperature }) };
}

const DECIMALS = { time: 4, voltage: 7, current: 6, temperature: 3 };

function csvOf({ time, voltage, current, temperature }: Omit<BenchLog, "csv">): string {
  const header = `Time [s],Voltage [V],Current [A]${temperature ? ",Temperature [degC]" : ""}`;
  const rows = time.map((t, k) => {
    const cells = [
      t.toFixed(DECIMALS.time),
      (voltage[k] as number).toFixed(DECIMALS.voltage),
      (current[k] as number).toFixed(DECIMALS.current),
    ];
    if (temperature) cells.push((temperature[k] as number).toFixed(DECIMALS.temperature));
    return cells.join(",");
  });
  return `${[header, ...rows].join("\n")}\n`;
}

/** The bench as it is registered for runs under one kind of load. */
export const benchFacts = (bench: SimulatedBench, kind: LoadKind): BenchFacts => ({ ...bench.stated, load: { kind } });
