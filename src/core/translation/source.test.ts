import { describe, expect, test } from "@jest/globals";
import { loadEndOf, type ModelPack, pulledBy } from "../../../test/support/source-runs.js";
import type { RestVolts } from "./relaxation.js";
import { resistanceAt } from "./resistance.js";
import { NO_SHIFT, type SourceFrame, sourceOf } from "./source.js";

// docs/definitions.md, 19 and 20.
const PACK: ModelPack = {
  openCircuitVolts: (charge) => 16.8 - charge / 9000,
  resistance: { earlyOhm: 0.012, growthOhm: 0.002, fallPerHeat: 0 },
};
const REST: RestVolts = { measured: 16.8, settledAtMost: 16.8, surfaceChargeC: 450 };
const trace = pulledBy(0.15, PACK, 13);
const END_S = loadEndOf(trace);

interface Changes extends Partial<Omit<SourceFrame, "stop">> {
  readonly endS?: number;
}

function modelOf(run = trace, { endS = loadEndOf(run), ...changes }: Changes = {}) {
  const frame = { rest: REST, stop: { loadEndS: endS, endS }, loadCurrentA: 103, series: 4, shift: NO_SHIFT };
  return sourceOf(run, { ...frame, ...changes });
}

function found(run = trace, changes: Changes = {}) {
  const source = modelOf(run, changes);
  if (!source) throw new Error("no source was found");
  return source;
}

describe("the source model of a run", () => {
  test("finds again the resistance that the pack was made with, within 1 %", () => {
    const { resistance } = found();
    for (const t of [1, 3, 10, 40]) {
      expect(Math.abs(resistanceAt(resistance, t, 0) / resistanceAt(PACK.resistance, t, 0) - 1)).toBeLessThan(0.01);
    }
  });

  test("finds again the open-circuit voltage along the charge drawn", () => {
    const { charge, sourceVolts } = found();
    const errors = Array.from(charge, (q, i) => Math.abs((sourceVolts[i] as number) - PACK.openCircuitVolts(q)));
    expect(Math.max(...errors)).toBeLessThan(0.02);
  });

  test("counts an open-circuit voltage that bends not as resistance", () => {
    const bent: ModelPack = { ...PACK, openCircuitVolts: (q) => 16.8 - q / 6000 + (q / 20_000) ** 2 };
    expect(resistanceAt(found(pulledBy(0.15, bent, 13)).resistance, 10, 0)).toBeCloseTo(
      resistanceAt(PACK.resistance, 10, 0),
      4,
    );
  });

  test("counts a surface charge not as resistance", () => {
    const withSurface: ModelPack = {
      ...PACK,
      openCircuitVolts: (charge) => PACK.openCircuitVolts(charge) + 0.8 * Math.exp(-charge / 450),
    };
    const run = pulledBy(0.15, withSurface, 13);
    const at10s = (settledAtMost: number) =>
      resistanceAt(found(run, { rest: { ...REST, measured: 17.6, settledAtMost } }).resistance, 10, 0);
    const made = resistanceAt(PACK.resistance, 10, 0);
    expect(Math.abs(at10s(16.8) / made - 1)).toBeLessThan(0.01);
    expect(Math.abs(at10s(17.6) / made - 1)).toBeGreaterThan(0.1);
  });

  test("of a pack without relaxation has its resistance to a millionth of an ohm", () => {
    const ohmic: ModelPack = { ...PACK, resistance: { earlyOhm: 0.012, growthOhm: 0, fallPerHeat: 0 } };
    const { resistance } = found(pulledBy(0.15, ohmic, 13));
    expect(resistance.earlyOhm).toBeCloseTo(0.012, 6);
    expect(resistance.growthOhm).toBeCloseTo(0, 6);
  });

  test("takes the resistance from the first 40 s alone", () => {
    const bend = 45 * (trace.current[0] as number);
    const bent = (charge: number) => PACK.openCircuitVolts(charge) - Math.max(0, charge - bend) / 50_000;
    const { resistance } = found(pulledBy(0.15, { ...PACK, openCircuitVolts: bent }, 13));
    expect(resistance.growthOhm / found().resistance.growthOhm).toBeCloseTo(1, 2);
  });

  test("moves with the shifts of what it is made of", () => {
    const { resistance } = found();
    const moved = (shift: Partial<typeof NO_SHIFT>) => found(trace, { shift: { ...NO_SHIFT, ...shift } }).resistance;
    const at = (one: typeof resistance, t: number, heat = 0) =>
      resistanceAt(one, t, heat) / resistanceAt(resistance, t, heat);
    expect(at(moved({ resistance: 1 }), 30)).toBeCloseTo(1.02, 3);
    expect(at(moved({ relaxation: 1 }), 3)).toBeCloseTo(1, 6);
    expect(at(moved({ relaxation: 1 }), 30)).toBeGreaterThan(1.03);
    expect(at(moved({ warming: 1 }), 60, 1e6)).toBeGreaterThan(1.02);
  });
});

describe("the fall of the resistance while the pack warms", () => {
  const warming = (run = trace, endS = loadEndOf(run)) => {
    const { resistance, charge } = found(run, { endS });
    const heat = charge.reduce((sum, q, i) => sum + (i > 0 ? (q - (charge[i - 1] as number)) * 95 : 0), 0);
    return resistance.fallPerHeat * heat;
  };

  test("is none where what comes back within 1 s after the load is what the first 1 s took", () => {
    expect(Math.abs(warming())).toBeLessThan(0.02);
  });

  test("is as much as less comes back", () => {
    const after = trace.time.findIndex((t) => t > END_S);
    const last = trace.voltage[after - 1] as number;
    const voltage = trace.voltage.map((volts, i) => (i < after ? volts : last + 0.8 * (volts - last)));
    expect(warming({ ...trace, voltage })).toBeCloseTo(0.2, 1);
  });

  test("is 13 % where the log ends with the load (common practice, no published source)", () => {
    const cut = trace.time.findIndex((t) => t > END_S);
    const [time, voltage, current] = [trace.time, trace.voltage, trace.current].map((one) => one.slice(0, cut));
    if (!time || !voltage || !current) throw new Error("nothing was cut");
    expect(warming({ time, voltage, current, temperature: null })).toBeCloseTo(0.13, 1);
  });
});

describe("there is no source model", () => {
  test("without a rest", () => expect(modelOf(trace, { rest: null })).toBeNull());
  test("of a run that ended before the window of the mark at 10 s, and there is one from then on", () => {
    expect(modelOf(trace, { endS: 10.45 })).toBeNull();
    expect(modelOf(trace, { endS: 10.5 })).not.toBeNull();
  });
  test("of voltages that rise under load", () => {
    expect(modelOf(trace, { rest: { ...REST, measured: 13 } })).toBeNull();
  });
});

test("the resistance grows with the logarithm of time from 0.5 s to 60 s, and falls with the heat of the current", () => {
  const { resistance } = PACK;
  expect([0, 0.5].map((t) => resistanceAt(resistance, t, 0))).toEqual(
    [0, 0.5].map(() => 0.012 + 0.002 * Math.log(0.5)),
  );
  expect(resistanceAt(resistance, Math.E, 0)).toBeCloseTo(0.014, 15);
  expect(resistanceAt(resistance, 50, 0) - resistanceAt(resistance, 5, 0)).toBeCloseTo(0.002 * Math.log(10), 15);
  expect(resistanceAt(resistance, 600, 0)).toBe(resistanceAt(resistance, 60, 0));
  expect(resistanceAt({ ...resistance, fallPerHeat: 1e-7 }, 1, 1e6)).toBeCloseTo(0.9 * 0.012, 15);
});
