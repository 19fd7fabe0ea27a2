import { beforeAll, describe, expect, test } from "@jest/globals";
import { createRandom, type Random } from "../../seed/simulator/random.js";
import { evaluate } from "../../src/core/evaluate.js";
import { fitLine } from "../../src/core/statistics/line.js";
import { indexAtOrAfter } from "../../src/core/trace/series.js";
import { chance } from "../monte-carlo/summary.js";
import { type HonestCourse, honestCourse } from "../odd-logs/honest-course.js";
import { newestProtocol, withoutTranslations } from "../support/protocols.js";

const RUNS = Number(process.env.SPARSE_RUNS ?? 12);
const LIMIT_C = 60;
const MIN_COVERAGE = 0.95;
/** Half of the errors lie within so many u at least: an u of ten times that says nothing. */
const MIN_MEDIAN = 0.1;
const WAYS = {
  "each repeated until the next": [2, 5, 10, 30],
  "alone in their rows": [2, 5, 9],
  "with lines between them": [2, 5, 10, 30],
} as const;
type Way = keyof typeof WAYS;
const protocol = withoutTranslations(newestProtocol("full-load"));

/** The log of a run whose probe reads every so many seconds, from `phaseS` on, in digits of so many K. */
function logOf({ readings }: HonestCourse, way: Way, everyS: number, phaseS: number, digitK: number): string {
  const read: number[] = [0];
  for (let i = 1; i < readings.length; i++) {
    if (
      Math.floor(((readings[i]?.s ?? 0) + phaseS) / everyS) > Math.floor(((readings[i - 1]?.s ?? 0) + phaseS) / everyS)
    )
      read.push(i);
  }
  const value = (i: number) => Number((Math.round((readings[i]?.degC ?? 0) / digitK) * digitK).toFixed(3));
  let k = 0;
  const rows = readings.map(({ s, V, A }, i) => {
    if (read[k + 1] === i) k++;
    const [a, b] = [read[k] as number, read[k + 1]];
    const share = b === undefined ? 0 : (s - (readings[a]?.s ?? 0)) / ((readings[b]?.s ?? 1) - (readings[a]?.s ?? 0));
    const between = b === undefined ? value(a) : value(a) + share * (value(b) - value(a));
    const cell =
      way === "alone in their rows"
        ? i === a
          ? value(a)
          : ""
        : way === "with lines between them"
          ? between
          : value(a);
    return `${s.toFixed(3)},${V.toFixed(3)},${A.toFixed(2)},${cell}`;
  });
  return `${["Time [s],Voltage [V],Current [A],Temperature [degC]", ...rows].join("\n")}\n`;
}

/** A run whose pack passes the limit on the way, by a probe that states no offset: it would hide what is looked for. */
interface HotRun {
  readonly course: HonestCourse;
  readonly truth: Readonly<Record<string, number>>;
}

function hotRun(seed: number, random: Random): HotRun {
  const honest = honestCourse(seed, { afterSeconds: random.between(1, 20) });
  const { readings, facts, truth } = honest;
  const rise = truth["temperature-rise"] as number;
  const byK = LIMIT_C - (readings[0]?.degC as number) - random.between(0.4, 0.9) * rise;
  const shifted = readings.map((reading) => ({ ...reading, degC: reading.degC + byK }));
  const course = {
    ...honest,
    readings: shifted,
    facts: { ...facts, bench: { ...facts.bench, temperature: { offset: 0 } } },
  };
  return { course, truth: { "temperature-rise": rise, "time-to-limit": limitReached(course) } };
}

/** Since the onset, s: where lines through 4 s of every reading on either side of an instant come to the limit. */
function limitReached({ readings }: HonestCourse): number {
  const time = Float64Array.from(readings, ({ s }) => s);
  const celsius = Float64Array.from(readings, ({ degC }) => degC);
  const largest = readings.reduce((most, { A }) => Math.max(most, A), 0);
  const onset = time[readings.findIndex(({ A }) => A >= largest / 2)] as number;
  const reached = time.find((s) => {
    const line = fitLine(time, celsius, indexAtOrAfter(time, s - 4), indexAtOrAfter(time, s + 4));
    return s > onset + 4 && line !== null && line.intercept + line.slope * s >= LIMIT_C;
  });
  return (reached ?? Number.NaN) - onset;
}

/** How far the rise and the time to the limit lie from the truth, in u. */
async function errorsOf(way: Way): Promise<number[]> {
  const errors: number[] = [];
  for (let seed = 1; seed <= RUNS; seed++) {
    const random = createRandom(1_299_709 * seed);
    const { course, truth } = hotRun(seed, random);
    for (const everyS of WAYS[way]) {
      for (const digitK of [0.1, 1]) {
        const text = logOf(course, way, everyS, random.between(0, everyS), digitK);
        const { evaluation } = await evaluate([Buffer.from(text)], course.facts, protocol);
        for (const { key, value, uncertainty } of evaluation.figures) {
          const error = Math.abs(value - (truth[key] ?? Number.NaN)) / uncertainty;
          if (!Number.isNaN(error)) errors.push(error);
        }
      }
    }
  }
  return errors;
}

// Truth is the simulator's, at every instant; the probe is read at some of them.
describe.each(Object.keys(WAYS) as Way[])("a temperature whose readings come every 2 to 30 s, %s", (way) => {
  let errors: number[] = [];
  beforeAll(async () => {
    errors = (await errorsOf(way)).sort((a, b) => a - b);
  }, 900_000);

  test("lies within 2 u of the truth in at least 95 % of the figures", () => {
    expect(errors.length).toBeGreaterThanOrEqual(10 * RUNS);
    const within = errors.filter((error) => error <= 2).length / errors.length;
    // The figures of one run err together.
    expect(within).toBeGreaterThanOrEqual(MIN_COVERAGE - chance(MIN_COVERAGE, RUNS));
  });

  test("and its u is no mere excuse", () => {
    expect(errors[Math.floor(errors.length / 2)]).toBeGreaterThanOrEqual(MIN_MEDIAN);
  });
});
