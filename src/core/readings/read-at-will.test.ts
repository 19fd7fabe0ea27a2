import { beforeAll, describe, expect, test } from "@jest/globals";
import { EXACT_BENCH } from "../../../test/cross-checks/simulator/bench.js";
import { simulateDischarge } from "../../../test/cross-checks/simulator/discharge.js";
import {
  constantCurrent,
  constantPower,
  type LoadLaw,
  resistance,
  standardLoadOhm,
} from "../../../test/cross-checks/simulator/load.js";
import { drawPack } from "../../../test/cross-checks/simulator/populations.js";
import { simulateLog } from "../../../test/cross-checks/simulator/simulate-log.js";
import { trueFigures } from "../../../test/cross-checks/simulator/true-figures.js";
import { type EvaluatedRun, evaluate } from "../evaluate.js";
import type { InputError } from "../inputs/input-error.js";
import type { Trace } from "../model.js";
import { CURRENT_LADDER_1 } from "../protocol/documents/current-ladder-1.js";
import { FULL_LOAD_1 } from "../protocol/documents/full-load-1.js";
import type { ChosenLoad } from "../translation/load-law.js";
import { type ChosenReadings, parseReadings } from "./chosen.js";
import { type PlaceRead, type RunReadings, readAtWill } from "./read-at-will.js";

const PACK = drawPack("A", "lipo", "readings");
const { series } = PACK.facts;
const OWN_OHM = standardLoadOhm(series, PACK.suitedLoadA);
const STATED = {
  ...EXACT_BENCH.stated,
  voltage: { percent: 0.1, offset: 0.005 },
  current: { percent: 0.5, offset: 0.1 },
  temperature: { offset: 1 },
};
const BENCH = { ...EXACT_BENCH, stated: STATED, rateHz: 10 };
const NOTHING: ChosenReadings = { atS: [], spans: [], cutoffVoltsPerCell: null, load: null };
const log = simulateLog({
  pack: PACK,
  load: resistance(OWN_OHM),
  bench: BENCH,
  seed: "readings",
  ambientC: 22,
  startC: 22,
});
const facts = { ...log.facts, protocol: FULL_LOAD_1 };
let run: EvaluatedRun;

beforeAll(async () => {
  run = await evaluate([Buffer.from(log.csv)], log.facts, FULL_LOAD_1);
});

function read(chosen: Partial<ChosenReadings>, protocol = FULL_LOAD_1): RunReadings {
  const found = readAtWill(run.trace, { ...facts, protocol }, { ...NOTHING, ...chosen });
  if (!("places" in found)) throw new Error(found.map(({ message }) => message).join("; "));
  return found;
}

function refused(chosen: Partial<ChosenReadings>, protocol = FULL_LOAD_1): readonly InputError[] {
  const found = readAtWill(run.trace, { ...facts, protocol }, { ...NOTHING, ...chosen });
  if ("places" in found) throw new Error("it was read");
  return found;
}

function valueAt(place: PlaceRead | undefined, quantity: string) {
  const found = place?.values.find((one) => one.quantity === quantity);
  if (!found) throw new Error(`no ${quantity}`);
  return found;
}

/** Values on a fine even grid, linear between samples: nothing of the project's own integration. */
function plainly({ time, voltage, current }: Trace, from: number, to: number) {
  const steps = 200_000;
  const width = (to - from) / steps;
  let [k, V, I, P] = [0, 0, 0, 0];
  for (let i = 0; i < steps; i++) {
    const t = from + (i + 0.5) * width;
    while ((time[k + 1] as number) < t) k++;
    const share = (t - (time[k] as number)) / ((time[k + 1] as number) - (time[k] as number));
    const between = (values: Float64Array) => (values[k] as number) * (1 - share) + (values[k + 1] as number) * share;
    V += between(voltage);
    I += between(current);
    // Power is linear between its samples, as everything that is read.
    const power = (j: number) => (voltage[j] as number) * (current[j] as number);
    P += power(k) * (1 - share) + power(k + 1) * share;
  }
  const seconds = to - from;
  return {
    voltage: V / steps,
    current: I / steps,
    power: P / steps,
    charge: ((I / steps) * seconds) / 3.6,
    energy: ((P / steps) * seconds) / 3600,
  };
}

describe("under the run's own load", () => {
  test.each([20, 45.25])(
    "a mark at %d s is what plain interpolation finds, with charge and energy until then",
    (at) => {
      const [mark] = read({ atS: [at] }).places;
      const around = plainly(run.trace, at - 0.5, at + 0.5);
      const until = plainly(run.trace, 0, at);
      for (const quantity of ["power", "voltage", "current"] as const)
        expect(valueAt(mark, quantity).value / around[quantity]).toBeCloseTo(1, 6);
      for (const quantity of ["charge", "energy"] as const)
        expect(valueAt(mark, quantity).value / until[quantity]).toBeCloseTo(1, 6);
    },
  );

  test("a span is the means, charge and energy of that stretch", () => {
    const [span] = read({ spans: [{ fromS: 10, toS: 30 }] }).places;
    const expected = plainly(run.trace, 10, 30);
    for (const [quantity, value] of Object.entries(expected))
      expect([quantity, valueAt(span, quantity).value / value]).toEqual([quantity, expect.closeTo(1, 6)]);
  });

  test("a mark at 10 s has the value and the uncertainty of the figure at 10 s", () => {
    const [mark] = read({ atS: [10] }).places;
    for (const quantity of ["power", "voltage", "current"]) {
      const figure = run.evaluation.figures.find(({ key, load }) => key === `${quantity}-10s` && load === null);
      expect(valueAt(mark, quantity).value).toBeCloseTo(figure?.value as number, 8);
      expect(valueAt(mark, quantity).uncertainty / (figure?.uncertainty as number)).toBeCloseTo(1, 3);
    }
  });

  test("the cutoff is the protocol's unless another is chosen; a higher one is reached where the voltage falls to it", () => {
    const usual = read({}).places.at(-1);
    const capacity = run.evaluation.figures.find(({ key, load }) => key === "capacity" && load === null);
    expect(valueAt(usual, "capacity").value).toBeCloseTo(capacity?.value as number, 6);
    const { places, endS, cutoffVoltsPerCell } = read({ cutoffVoltsPerCell: 3.5 });
    const { time, voltage } = run.trace;
    const i = time.findIndex((t, j) => t > 0 && (voltage[j] as number) <= 3.5 * series);
    const [v0, v1] = [voltage[i - 1] as number, voltage[i] as number];
    const crossing =
      (time[i - 1] as number) + (((time[i] as number) - (time[i - 1] as number)) * (v0 - 3.5 * series)) / (v0 - v1);
    expect([cutoffVoltsPerCell, endS]).toEqual([3.5, expect.closeTo(crossing, 9)]);
    const plain = plainly(run.trace, 0, crossing);
    expect(valueAt(places.at(-1), "capacity").value / plain.charge).toBeCloseTo(1, 6);
    expect(valueAt(places.at(-1), "capacity").bound).toBe("none");
  });

  test("a cutoff that the run did not reach gives lower bounds", () => {
    const cutoff = read({ cutoffVoltsPerCell: 2.6 }).places.at(-1);
    for (const quantity of ["runtime", "capacity", "energy"])
      expect([quantity, valueAt(cutoff, quantity).bound]).toEqual([quantity, "lower"]);
  });
});

// A second simulator of other packs than the model's form pulls the same pack at the chosen load.
describe("under a load of the reader's choice", () => {
  const ownA = log.truth.own?.["current-10s"] as number;
  const ownW = log.truth.own?.["power-10s"] as number;
  const loads: [string, ChosenLoad, LoadLaw][] = [
    ["current", { kind: "current", value: 0.9 * ownA }, constantCurrent(0.9 * ownA)],
    ["power", { kind: "power", value: 1.1 * ownW }, constantPower(1.1 * ownW)],
    ["power, less", { kind: "power", value: 0.8 * ownW }, constantPower(0.8 * ownW)],
    ["resistance", { kind: "resistance", value: 1.15 * OWN_OHM }, resistance(1.15 * OWN_OHM)],
  ];

  test.each(loads)(
    "%s: how long it holds, and its readings, are within 3 u and 1.5 %% of the simulated pack",
    (_, load, law) => {
      const cutoffVolts = 3.3 * series;
      const course = simulateDischarge({
        pack: PACK,
        load: law,
        startC: 22,
        ambientC: 22,
        restSeconds: 4,
        rampSeconds: 0,
        stop: { volts: cutoffVolts, holdSeconds: 0.5, latestSeconds: 4000 },
        afterSeconds: 1,
      });
      const truth = trueFigures(course, PACK.facts, cutoffVolts) as Record<string, number>;
      const { places } = read({ atS: [10, 30], load });
      const found = [
        [valueAt(places[0], "power"), truth["power-10s"]],
        [valueAt(places[1], "voltage"), truth["voltage-30s"]],
        [valueAt(places[1], "current"), truth["current-30s"]],
        [valueAt(places[2], "runtime"), truth.runtime],
        [valueAt(places[2], "capacity"), truth.capacity],
        [valueAt(places[2], "energy"), truth.energy],
      ] as const;
      for (const [{ quantity, value, uncertainty }, expected = Number.NaN] of found) {
        expect([
          quantity,
          Math.abs(value / expected - 1) < 0.015,
          Math.abs(value - expected) <= 3 * uncertainty + 1e-9,
        ]).toEqual([quantity, true, true]);
      }
    },
  );

  test("the resistance of a standard load gives the translated figures of that load", () => {
    const figures = run.evaluation.figures.filter(({ key, basis }) => key === "capacity" && basis === "translated");
    expect(figures.length).toBeGreaterThan(1);
    for (const { load, value, uncertainty } of figures) {
      const capacity = valueAt(read({ load: load as number }).places.at(-1), "capacity");
      expect(capacity.value / value).toBeCloseTo(1, 9);
      expect(capacity.uncertainty / uncertainty).toBeCloseTo(1, 2);
    }
  });
});

describe("what cannot be read is refused with what is possible for the run", () => {
  test("marks and spans beyond it, all at once", () => {
    const { endS } = read({});
    const errors = refused({ atS: [5, 0.1, 100_000], spans: [{ fromS: 1, toS: 99_999 }] });
    expect(errors.map(({ pointer }) => pointer)).toEqual(["/at", "/at", "/span"]);
    expect(errors[1]?.message).toContain(`from 0.5 to ${Math.floor((endS - 0.5) * 10) / 10} s`);
  });

  test("a cutoff outside the chemistry", () => {
    for (const cutoffVoltsPerCell of [1, 4.2, 50])
      expect(refused({ cutoffVoltsPerCell })).toEqual([
        { pointer: "/cutoff", message: "must be from 2.5 to below 4.2 V per cell for a pack of lipo" },
      ]);
  });

  test.each(["current", "power", "resistance"] as const)(
    "a %s out of reach, and the range that it names is reached",
    (kind) => {
      const [error] = refused({ load: { kind, value: 1e6 } });
      const [, least, most] = /from ([\d.]+) to ([\d.]+)/.exec(error?.message ?? "") ?? [];
      for (const text of [least, most]) expect(read({ load: { kind, value: Number(text) } }).endS).toBeGreaterThan(1);
      for (const value of [Number(least) * 0.97, Number(most) * 1.03])
        expect(refused({ load: { kind, value } })[0]?.pointer).toBe("/load");
    },
  );

  test("a cutoff that the run reaches too early to tell of a load that it reaches otherwise", () => {
    const load = { kind: "current", value: PACK.suitedLoadA } as const;
    expect(read({ load }).endS).toBeGreaterThan(1);
    const early = { cutoffVoltsPerCell: 4.1 };
    const { endS } = read(early);
    expect(refused({ ...early, load })).toEqual([
      { pointer: "/cutoff", message: expect.stringContaining(`reaches this voltage after ${endS.toFixed(1)} s`) },
    ]);
    // What the load itself is to blame for is said of the load.
    expect(refused({ ...early, load: { ...load, value: 1e6 } })).toEqual(refused({ load: { ...load, value: 1e6 } }));
  });

  test("a load for a protocol whose runs are not translated", () => {
    expect(refused({ load: 100 }, CURRENT_LADDER_1)[0]?.message).toContain("read under their own load");
  });
});

describe("what is written", () => {
  const written = { at: [], span: [], cutoff: null, load: null };
  test.each([
    ["80A", { kind: "current", value: 80 }],
    ["1200W", { kind: "power", value: 1200 }],
    ["0.12ohm", { kind: "resistance", value: 0.12 }],
    ["120 mohm", { kind: "resistance", value: 0.12 }],
    ["80", 80],
  ])("load %s", (load, expected) => {
    expect(parseReadings({ ...written, load })).toMatchObject({ load: expected });
  });

  test.each(["", "80 V", "-5A", "0W", "1e9A", "NaN", "80A80A"])("load %j is refused", (load) => {
    expect(parseReadings({ ...written, load })).toMatchObject([{ pointer: "/load" }]);
  });

  test.each(["30..10", "10-30", "..", "10..10", "1..2..3"])("span %j is refused", (span) => {
    expect(parseReadings({ ...written, span: [span] })).toMatchObject([{ pointer: "/span" }]);
  });

  test("marks and spans in their order", () => {
    expect(parseReadings({ ...written, at: ["20", "45"], span: ["10..30", "0.5..1.5"] })).toMatchObject({
      atS: [20, 45],
      spans: [
        { fromS: 10, toS: 30 },
        { fromS: 0.5, toS: 1.5 },
      ],
    });
  });
});

test("gives a log that begins under load bounds, and neither marks nor spans, which count from its onset", () => {
  const from = run.trace.time.findIndex((t) => t >= 3);
  const { time, voltage, current, temperature } = run.trace;
  const cut = {
    time: time.slice(from),
    voltage: voltage.slice(from),
    current: current.slice(from),
    temperature: temperature?.slice(from) ?? null,
  };
  const asked = readAtWill(cut, facts, { ...NOTHING, atS: [20], spans: [{ fromS: 10, toS: 30 }] });
  expect(asked).toEqual([
    { pointer: "/at", message: expect.stringContaining("begins under load") },
    { pointer: "/span", message: expect.stringContaining("begins under load") },
  ]);
  const found = readAtWill(cut, facts, NOTHING);
  if (!("places" in found)) throw new Error("it was refused");
  const capacity = found.places.flatMap(({ values }) => values).find(({ quantity }) => quantity === "capacity");
  expect(capacity?.bound).toBe("lower");
});
