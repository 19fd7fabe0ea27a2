import { describe, expect, test } from "@jest/globals";
import { type ModelPack, pulledBy } from "../../../test/support/source-runs.js";
import type { Trace } from "../model.js";
import { NO_SHIFT, type RestVolts, resistanceAt, sourceOf } from "./source.js";

const until = (endS: number) => ({ loadEndS: endS, endS });
const wholeOf = ({ time }: Trace) => until(time.at(-1) as number);

// docs/definitions.md, 19 and 20.
const PACK: ModelPack = {
  openCircuitVolts: (charge) => 16.8 - charge / 9000,
  resistance: { earlyOhm: 0.012, growthOhm: 0.002 },
};
const REST: RestVolts = { measured: 16.8, settledAtMost: 16.8, surfaceChargeC: 450 };
const trace = pulledBy(0.15, PACK, 13);
const END_S = trace.time.at(-1) as number;

const modelOf = (rest: RestVolts | null, endS = END_S, shift = NO_SHIFT) => {
  const source = sourceOf(trace, rest, { loadEndS: endS, endS }, shift);
  if (!source) throw new Error("no source was found");
  return source;
};

describe("the source model of a run", () => {
  test("finds again the resistance that the pack was made with", () => {
    const { resistance } = modelOf(REST);
    // The window of the mark at 1 s reaches to 1.5 s, where the resistance has grown: 0.108 of the growth, on average.
    expect(resistance.earlyOhm).toBeCloseTo(PACK.resistance.earlyOhm + 0.108 * PACK.resistance.growthOhm, 4);
    expect(Math.abs(resistance.growthOhm / PACK.resistance.growthOhm - 1)).toBeLessThan(0.07);
  });

  test("finds again the open-circuit voltage along the charge drawn", () => {
    const { charge, sourceVolts } = modelOf(REST);
    const errors = Array.from(charge, (q, i) => Math.abs((sourceVolts[i] as number) - PACK.openCircuitVolts(q)));
    expect(Math.max(...errors)).toBeLessThan(0.04);
  });

  test("counts a surface charge not as resistance", () => {
    const withSurface: ModelPack = {
      ...PACK,
      openCircuitVolts: (charge) => PACK.openCircuitVolts(charge) + 0.8 * Math.exp(-charge / 450),
    };
    const run = pulledBy(0.15, withSurface, 13);
    const rest = { measured: 17.6, settledAtMost: 16.8, surfaceChargeC: 450 };
    const at10s = (settledAtMost: number) => {
      const source = sourceOf(run, { ...rest, settledAtMost }, wholeOf(run), NO_SHIFT);
      return source ? resistanceAt(source.resistance, 10) : Number.NaN;
    };
    const made = resistanceAt(PACK.resistance, 10);
    expect(Math.abs(at10s(16.8) / made - 1)).toBeLessThan(0.06);
    expect(at10s(17.6) / made).toBeGreaterThan(1.25);
  });

  test("of a pack without relaxation has its resistance to a millionth of an ohm: slope and resistance agree", () => {
    const ohmic: ModelPack = { ...PACK, resistance: { earlyOhm: 0.012, growthOhm: 0 } };
    const run = pulledBy(0.15, ohmic, 13);
    const source = sourceOf(run, REST, wholeOf(run), NO_SHIFT);
    expect(source?.resistance.earlyOhm).toBeCloseTo(0.012, 6);
    expect(source?.resistance.growthOhm).toBeCloseTo(0, 6);
  });

  test("takes the fall of the open-circuit voltage from the first 40 s alone", () => {
    const bend = 45 * (trace.current[0] as number);
    const bent = (charge: number) => PACK.openCircuitVolts(charge) - Math.max(0, charge - bend) / 5000;
    const run = pulledBy(0.15, { ...PACK, openCircuitVolts: bent }, 13);
    const source = sourceOf(run, REST, wholeOf(run), NO_SHIFT);
    expect(source?.resistance).toEqual(modelOf(REST).resistance);
  });

  test("moves with the shifts of what it is made of", () => {
    const { resistance } = modelOf(REST);
    const relaxed = modelOf(REST, END_S, { ...NO_SHIFT, relaxation: 1 }).resistance;
    expect(relaxed.growthOhm / resistance.growthOhm).toBeGreaterThan(1.2);
    expect(relaxed.growthOhm / resistance.growthOhm).toBeLessThan(1.4);
    const fallen = modelOf(REST, END_S, { ...NO_SHIFT, openCircuit: 1 }).resistance;
    expect(resistanceAt(fallen, 10)).toBeLessThan(resistanceAt(resistance, 10));
  });
});

describe("there is no source model", () => {
  test("without a rest", () => expect(sourceOf(trace, null, until(END_S), NO_SHIFT)).toBeNull());
  test("of a run that ended before the window of the mark at 10 s, and there is one from then on", () => {
    expect(sourceOf(trace, REST, until(10.45), NO_SHIFT)).toBeNull();
    expect(sourceOf(trace, REST, until(10.5), NO_SHIFT)).not.toBeNull();
  });
  test("of voltages that rise under load", () => {
    expect(sourceOf(trace, { ...REST, measured: 13 }, until(END_S), NO_SHIFT)).toBeNull();
  });
});

test("the resistance is that of 1 s before 1 s, and grows with the logarithm of time after", () => {
  const { resistance } = PACK;
  expect([0, 0.5, 1].map((t) => resistanceAt(resistance, t))).toEqual([0.012, 0.012, 0.012]);
  expect(resistanceAt(resistance, Math.E)).toBeCloseTo(0.014, 15);
  expect(resistanceAt(resistance, 100) - resistanceAt(resistance, 10)).toBeCloseTo(0.002 * Math.log(10), 15);
});
