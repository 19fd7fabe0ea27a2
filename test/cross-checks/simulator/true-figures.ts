import type { PackFacts } from "../../../src/core/model.js";
import { ChannelReader, type CourseReaders, readersOf } from "./course-reader.js";
import type { Course } from "./discharge.js";

/** Figures without noise, by key and in the units of docs/definitions.md. One that was not reached is absent. */
export type TrueFigures = Readonly<Record<string, number>>;

const PEAK_WITHIN_SECONDS = 4.5;
const PEAK_WINDOW_SECONDS = 0.5;
const PEAK_STEP_SECONDS = 0.02;

/**
 * The figures of docs/definitions.md, read off a course whose rest carries no current; null when its voltage never fell to
 * `cutoffVolts` (of the pack) under load.
 */
export function trueFigures(course: Course, facts: PackFacts, cutoffVolts: number): TrueFigures | null {
  const read = readersOf(course);
  const onset = onsetOf(course);
  const cutoff = cutoffOf(course, cutoffVolts);
  if (cutoff === null) return null;
  const runtime = cutoff - onset;
  const V0 = read.V.mean(Math.max(course.time[0] as number, -1), 0);
  const figures: Record<string, number> = {
    ...marks(read, onset, runtime),
    ...resistances(read, onset, V0, facts),
    capacity: read.I.integral(onset, cutoff) / 3.6,
    energy: read.P.integral(onset, cutoff) / 3600,
    runtime,
  };
  const value = (key: string) => figures[key] as number;
  figures["capacity-share"] = value("capacity") / facts.ratedCapacityMah;
  figures["current-mean"] = (3.6 * value("capacity")) / runtime;
  figures["sag-10s"] = (V0 - value("voltage-10s")) / facts.series;
  figures["hold-30s"] = value("power-30s") / value("power-peak");
  if (facts.massGrams !== null) {
    figures["specific-energy"] = (1000 * value("energy")) / facts.massGrams;
    figures["specific-power-10s"] = (1000 * value("power-10s")) / facts.massGrams;
  }
  return figures;
}

/** Where the current first stands at half of what it is in the five seconds that follow. */
function onsetOf({ time, current }: Course): number {
  const largest = current.reduce((a, b) => Math.max(a, b), 0);
  const first = time[current.findIndex((amperes) => amperes > 0.05 * largest)] as number;
  const I = new ChannelReader(time, current);
  const evenly = Array.from({ length: 500 }, (_, k) => I.at(first + (k + 0.5) / 100)).sort((a, b) => a - b);
  const half = ((evenly[249] as number) + (evenly[250] as number)) / 4;
  const k = current.findIndex((amperes) => amperes >= half);
  const [t0, t1] = [time[k - 1] as number, time[k] as number];
  const [i0, i1] = [current[k - 1] as number, current[k] as number];
  return t0 + ((half - i0) / (i1 - i0)) * (t1 - t0);
}

/** Where the voltage falls to the cutoff under load for good. */
function cutoffOf({ time, voltage, current, offSeconds }: Course, cutoffVolts: number): number | null {
  const k = time.findIndex(
    (t, j) => t <= offSeconds && (current[j] as number) > 0 && (voltage[j] as number) <= cutoffVolts,
  );
  if (k < 1) return null;
  const [t0, t1] = [time[k - 1] as number, time[k] as number];
  const [v0, v1] = [voltage[k - 1] as number, voltage[k] as number];
  return v0 > v1 ? t0 + ((v0 - cutoffVolts) / (v0 - v1)) * (t1 - t0) : t1;
}

function marks({ V, I, P }: CourseReaders, onset: number, runtime: number): Record<string, number> {
  const figures: Record<string, number> = {};
  const add = (name: string, from: number, to: number) => {
    figures[`power-${name}`] = P.mean(onset + from, onset + to);
    figures[`voltage-${name}`] = V.mean(onset + from, onset + to);
    figures[`current-${name}`] = I.mean(onset + from, onset + to);
  };
  for (const seconds of [10, 30]) if (runtime >= seconds + 0.5) add(`${seconds}s`, seconds - 0.5, seconds + 0.5);
  let [best, from] = [Number.NEGATIVE_INFINITY, 0];
  for (let s = 0; s <= PEAK_WITHIN_SECONDS + 1e-9; s += PEAK_STEP_SECONDS) {
    const power = P.mean(onset + s, onset + s + PEAK_WINDOW_SECONDS);
    if (power > best) [best, from] = [power, s];
  }
  add("peak", from, from + PEAK_WINDOW_SECONDS);
  return figures;
}

function resistances(
  { V, I }: CourseReaders,
  onset: number,
  V0: number,
  { series, ratedCapacityMah }: PackFacts,
): Record<string, number> {
  const figures: Record<string, number> = {};
  for (const seconds of [1, 10]) {
    const [from, to] = [onset + seconds - 0.5, onset + seconds + 0.5];
    const ohm = (V0 - V.mean(from, to)) / I.mean(from, to);
    figures[`resistance-${seconds}s`] = 1000 * ohm;
    figures[`resistance-${seconds}s-per-cell`] = (1000 * ohm) / series;
    figures[`resistance-${seconds}s-times-it`] = ((ohm / series) * ratedCapacityMah) / 1000;
  }
  return figures;
}
