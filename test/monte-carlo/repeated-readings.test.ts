import { beforeAll, describe, expect, test } from "@jest/globals";
import { CHEMISTRIES, type Evaluation, LOAD_KINDS } from "../../src/core/model.js";
import type { SimulatedBench } from "../cross-checks/simulator/bench.js";
import { drawNoisyBench } from "../cross-checks/simulator/noisy-bench.js";
import { drawPack } from "../cross-checks/simulator/populations.js";
import { type Random, randomOf } from "../cross-checks/simulator/random.js";
import { sizeLoad } from "../cross-checks/simulator/size-load.js";
import type { TrueFigures } from "../cross-checks/simulator/true-figures.js";
import { evaluateText } from "../support/evaluated.js";
import { newestProtocol, withoutTranslations } from "../support/protocols.js";
import { carried } from "./fleet.js";
import { chance } from "./summary.js";

const RUNS = Number(process.env.MONTE_CARLO_RUNS ?? 20);
const protocol = withoutTranslations(newestProtocol("full-load"));
const WAYS = ["together", "apart", "voltage", "current"] as const;
/** Where coarse digits are as large as what a channel does between two readings, nothing tells of its meter. */
const MIN_FOUND = 0.7;
const MIN_COVERAGE = 0.95;
/** From so many rows to a reading on it is looked for. */
const MIN_ROWS = 1.6;
/** The protocol's lowest rate, with what a clock may be off. */
const MIN_RATE_HZ = 4.9;

interface Polled {
  readonly evaluation: Evaluation;
  readonly truth: TrueFigures;
  /** From one new reading of the slower channel to the next, s; that of the rows where none is repeated. */
  readonly seconds: number;
  readonly rows: number;
  readonly isFine: boolean;
}

interface Draw {
  readonly seconds: number;
  readonly otherSeconds: number;
  readonly rowSeconds: number;
  readonly jitterShare: number;
}

const drawHolds = (random: Random): Draw => {
  const seconds = random.logBetween(0.05, 2);
  const rowSeconds = Math.min(0.5, Math.max(0.01, seconds / random.logBetween(1, 60)));
  const jitterShare = random.uniform() < 0.5 ? 0 : random.between(0, 0.1);
  return { seconds, otherSeconds: random.logBetween(0.05, 2), rowSeconds, jitterShare };
};

function holdsOf(
  way: (typeof WAYS)[number],
  { seconds, otherSeconds, jitterShare }: Draw,
): NonNullable<SimulatedBench["holds"]> {
  const hold = { seconds, jitterShare };
  const temperature = { seconds: 3, jitterShare };
  if (way === "together") return { voltage: hold, current: hold, temperature };
  if (way === "apart") return { voltage: hold, current: { seconds: otherSeconds, jitterShare }, temperature };
  return { [way]: hold, temperature };
}

/** A full load on a bench with digits from fine to coarse, quiet or noisy, polled in rows of 0.01 to 0.5 s; null where the pack collapses. */
async function drawPolled(n: number, way: (typeof WAYS)[number] | null): Promise<Polled | null> {
  const seed = `repeated ${way} ${n}`;
  const random = randomOf(seed);
  const pack = drawPack(random.pick(["A", "B", "C"]), random.pick(CHEMISTRIES), seed);
  const amperes = pack.suitedLoadA;
  const load = sizeLoad(pack, { kind: random.pick(LOAD_KINDS), standardA: amperes, ratio: 1 }, random);
  const readings = { volts: pack.facts.series * pack.cell.openCircuitVolts(0), amperes };
  const { stated, ...noisy } = drawNoisyBench(readings, "rectangular", random);
  const draw = way ? drawHolds(random) : { ...drawHolds(random), rowSeconds: random.logBetween(0.01, 0.5) };
  const [volts, drawn] = [random.pick([0.001, 0.001, 0.01, 0.05]), random.pick([0.01, 0.1])];
  const loudness = random.pick([0.02, 1]);
  const bench: SimulatedBench = {
    ...noisy,
    stated: {
      ...stated,
      voltage: { ...stated.voltage, offset: stated.voltage.offset + volts / 2 },
      current: { ...stated.current, offset: stated.current.offset + drawn / 2 },
    },
    voltage: { ...noisy.voltage, step: volts, noise: loudness * noisy.voltage.noise },
    current: { ...noisy.current, step: drawn, noise: loudness * noisy.current.noise },
    rateHz: 1 / draw.rowSeconds,
    restSeconds: random.between(4, 8),
    afterSeconds: random.between(3, 8),
    ...(way ? { holds: holdsOf(way, draw) } : {}),
  };
  const run = carried(() => ({ pack, load, bench, seed }));
  if (!run?.truth.own) return null;
  const slower = way === "apart" ? Math.max(draw.seconds, draw.otherSeconds) : draw.seconds;
  const seconds = way ? Math.max(slower, draw.rowSeconds) : draw.rowSeconds;
  return {
    evaluation: await evaluateText(run.csv, run.facts, protocol),
    truth: run.truth.own,
    seconds,
    rows: seconds / draw.rowSeconds,
    isFine: volts === 0.001 && drawn === 0.01 && loudness === 1,
  };
}

async function drawAll(way: (typeof WAYS)[number] | null, count: number): Promise<readonly Polled[]> {
  const drawn: Polled[] = [];
  for (let n = 0; n < count; n++) {
    const polled = await drawPolled(n, way);
    if (polled) drawn.push(polled);
  }
  return drawn;
}

const isFound = ({ evaluation }: Polled) => evaluation.adjustments.some(({ kind }) => kind === "repeats-left-out");
const isTold = ({ evaluation, seconds }: Polled) => Math.abs(evaluation.trace.rateHz * seconds - 1) <= 0.1;

// Truth is the second simulator's: the instants at which its meters read, and its figures without noise.
describe("logs of a script that polls a meter more often than it reads", () => {
  const runs = new Map<(typeof WAYS)[number], readonly Polled[]>();
  beforeAll(async () => {
    for (const way of WAYS) runs.set(way, await drawAll(way, RUNS));
  }, 900_000);
  const repeated = () => [...runs.values()].flat().filter(({ rows }) => rows >= MIN_ROWS);

  test("are taken at the interval at which their readings change, wherever the digits show it", () => {
    const fine = repeated().filter(({ isFine }) => isFine);
    expect(fine.length).toBeGreaterThanOrEqual(RUNS / 5);
    expect(fine.filter((run) => !isTold(run)).map(({ seconds, rows }) => [seconds, rows])).toEqual([]);
    const told = repeated().filter(isTold);
    expect(told.length / repeated().length).toBeGreaterThanOrEqual(MIN_FOUND);
  });

  test("that read too seldom fail for their rate, and are told why and what to change", () => {
    const slow = repeated().filter((run) => isFound(run) && isTold(run) && run.seconds > 0.23);
    expect(slow.length).toBeGreaterThanOrEqual(RUNS);
    for (const { evaluation } of slow) {
      const finding = evaluation.findings.find(({ rule }) => rule === "sampling-rate");
      expect([finding?.outcome, evaluation.verdict]).toEqual(["fail", "nonconforming"]);
      expect(finding?.message).toMatch(
        /; readings repeat: the meter gives a new .* s, rows come every .* s\. Required/,
      );
      expect(finding?.message).toMatch(/Log each reading once, or set the meter faster\.$/);
    }
  });

  test("and that read often enough have figures whose 2 u hold the truth", () => {
    const often = repeated().filter((run) => isFound(run) && run.evaluation.trace.rateHz >= MIN_RATE_HZ);
    const errors = often.flatMap(({ evaluation, truth }) =>
      evaluation.figures.flatMap(({ key, value, uncertainty, bound }) => {
        const known = truth[key];
        return known === undefined || bound !== "none" ? [] : [Math.abs(value - known) / uncertainty];
      }),
    );
    expect(often.length).toBeGreaterThanOrEqual(RUNS / 2);
    const within = errors.filter((error) => error <= 2).length / errors.length;
    // The figures of one run err together.
    expect(within).toBeGreaterThanOrEqual(MIN_COVERAGE - chance(MIN_COVERAGE, often.length));
  });
});

test("no honest log is taken for one, however coarse its digits and however still its load", async () => {
  const runs = await drawAll(null, 2 * RUNS);
  expect(runs.length).toBeGreaterThan(RUNS);
  expect(runs.filter(isFound)).toEqual([]);
}, 900_000);
