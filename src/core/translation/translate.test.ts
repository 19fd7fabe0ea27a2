import { describe, expect, test } from "@jest/globals";
import { evaluateTrace, figureKeys } from "../../../test/support/evaluated.js";
import { FACTS } from "../../../test/support/facts.js";
import { loadEndOf, type ModelPack, pulledBy, thenReleased } from "../../../test/support/source-runs.js";
import { instants, traceOf } from "../../../test/support/traces.js";
import type { Trace } from "../model.js";
import { integrate, valueAt } from "../trace/series.js";
import { NO_SHIFT, sourceOf } from "./source.js";
import { referenceOhm, translate } from "./translate.js";

// docs/definitions.md, 21 and 22.
const PACK: ModelPack = {
  openCircuitVolts: (charge) => 16.8 - charge / 9000,
  resistance: { earlyOhm: 0.012, growthOhm: 0.002, fallPerHeat: 0 },
};
const CUTOFF_VOLTS = 13.2;

function carried(trace: Trace, loadOhm: number, { restVolts = 16.8, reached = false, extension = 1 } = {}): Trace {
  const rest = { measured: restVolts, settledAtMost: restVolts, surfaceChargeC: 450 };
  const endS = loadEndOf(trace);
  const loadCurrentA = valueAt(trace.time, trace.current, 2.5);
  const stop = { loadEndS: endS, endS };
  const source = sourceOf(trace, { rest, stop, loadCurrentA, series: 4, shift: NO_SHIFT });
  if (!source) throw new Error("no source was found");
  return translate(source, loadOhm, CUTOFF_VOLTS, reached, extension);
}

const at = (trace: Trace, t: number) =>
  [valueAt(trace.time, trace.voltage, t), valueAt(trace.time, trace.current, t)] as const;
const expectNear = (got: number, expected: number, share: number) =>
  expect(Math.abs(got / expected - 1)).toBeLessThan(share);

function expectAlike(got: Trace, expected: Trace, share: number): void {
  for (const t of [1, 5, 10, 30, 100, 0.95 * loadEndOf(expected)]) {
    expectNear(at(got, t)[0], at(expected, t)[0], share);
    expectNear(at(got, t)[1], at(expected, t)[1], share);
  }
}

describe("a run carried to the load that was really there is the measurement", () => {
  test("for a pack that keeps to the source model", () => {
    const measured = pulledBy(0.15, PACK, CUTOFF_VOLTS);
    expectAlike(carried(measured, 0.15), measured, 1e-6);
  });

  // Closed form, derived: 50.4 V behind 20 mohm and one relaxation of 10 mohm, 2000 F, on 1.26 ohm. tau' = 19.845 s; V(10 s) and
  // V(60 s) as checked with a solver of differential equations.
  test("for one that does not: a relaxation with a single time constant", () => {
    const [E, R0, R1, LOAD, TAU] = [50.4, 0.02, 0.01, 1.26, 19.844961240310077];
    const v1 = (t: number) => ((E * R1) / (R0 + R1 + LOAD)) * (1 - Math.exp(-t / TAU));
    const volts = (t: number) => ((E - v1(t)) * LOAD) / (R0 + LOAD);
    const measured = traceOf(instants(0, 180, 20), { volts, amperes: (t) => volts(t) / LOAD });
    const own = carried(measured, LOAD, { restVolts: E });
    expect(at(own, 10)[0]).toBeCloseTo(49.46026501321877, 5);
    expect(at(own, 60)[0]).toBeCloseTo(49.24661117852402, 5);
    expectAlike(own, measured, 1e-6);
  });
});

describe("a run carried to another load", () => {
  test.each([
    [0.15, 0.12],
    [0.12, 0.15],
    [0.15, 0.2],
  ])("from %d to %d ohm is the run that the same pack gives there, within 0.2 %", (from, to) => {
    expectAlike(carried(pulledBy(from, PACK, 12), to), pulledBy(to, PACK, 12.5), 0.002);
  });

  test("and back is the measurement, within 0.1 %", () => {
    const measured = pulledBy(0.15, PACK, 12);
    const there = thenReleased(carried(measured, 0.12), PACK.resistance);
    expectAlike(carried(there, 0.15), measured, 0.001);
  });

  test("begins at onset and has no temperature", () => {
    const moved = carried(pulledBy(0.15, PACK, 13), 0.12);
    expect([moved.time[0], moved.temperature]).toEqual([0, null]);
    expect(moved.time.every((t, i) => i === 0 || t > (moved.time[i - 1] as number))).toBe(true);
  });
});

describe("a run that ended at its cutoff, carried to a lighter load", () => {
  /** Falls steeply towards its end, as packs do. */
  const falling: ModelPack = {
    ...PACK,
    openCircuitVolts: (charge) => PACK.openCircuitVolts(charge) - 1.5 * Math.exp((charge - 8000) / 300),
  };
  const measured = pulledBy(0.12, falling, CUTOFF_VOLTS);
  const lighter = pulledBy(0.15, falling, CUTOFF_VOLTS);
  const drawn = ({ time, current }: Trace) => integrate(time, current, 0, loadEndOf({ time, current } as Trace));

  test("is carried on to the cutoff there, and draws what that load draws, within 2 %", () => {
    const moved = carried(measured, 0.15, { reached: true });
    expect(moved.voltage.at(-1)).toBeLessThanOrEqual(CUTOFF_VOLTS);
    expect(moved.voltage.at(-2)).toBeGreaterThan(CUTOFF_VOLTS);
    expectNear(drawn(moved), drawn(lighter), 0.02);
  });

  test("is not carried on when the cutoff was not reached", () => {
    expect(drawn(carried(measured, 0.15))).toBeCloseTo(drawn(measured), 0);
  });

  test("goes farther with a larger extension", () => {
    const far = drawn(carried(measured, 0.15, { reached: true, extension: 1.3 }));
    expect(far).toBeGreaterThan(drawn(carried(measured, 0.15, { reached: true })));
  });
});

test("the reference load of 4 cells of 5000 mAh is 14.8 V over 100 A", () => {
  expect(referenceOhm(FACTS.pack, 3.7, 20)).toBeCloseTo(0.148, 12);
});

describe("how far a run may be carried", () => {
  /** 100 A at about 14.6 V, set against the reference load of packs of other rated capacities. */
  const evaluated = (ratedCapacityMah: number) => {
    const trace = traceOf(instants(-3, 60, 10), {
      volts: (t) => (t < 0 ? 16.8 : 14.6 - 0.01 * t),
      amperes: (t) => (t < 0 ? 0 : 100),
    });
    return evaluateTrace(trace, { ...FACTS, pack: { ...FACTS.pack, ratedCapacityMah } });
  };

  test.each([
    [5000, "pass"],
    [3700, "pass"],
    [3300, "fail"],
    [7000, "pass"],
    [8000, "fail"],
  ] as const)("a pack of %d mAh under 100 A: %s", async (ratedCapacityMah, outcome) => {
    const evaluation = await evaluated(ratedCapacityMah);
    const level = evaluation.findings.find(({ rule }) => rule === "load-level");
    expect(level?.outcome).toBe(outcome);
    expect(figureKeys(evaluation, "translated").length > 0).toBe(outcome === "pass");
  });
});
