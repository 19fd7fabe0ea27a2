import { describe, expect, test } from "@jest/globals";
import fc from "fast-check";
import { loadEndOf, type ModelPack, pulledBy, thenReleased } from "../../../test/support/source-runs.js";
import { instants, traceOf } from "../../../test/support/traces.js";
import type { Trace } from "../model.js";
import { integrate, valueAt } from "../trace/series.js";
import { cellSource, runModelOf } from "./cell-source.js";
import { bestState } from "./moved-models.js";
import { standardOhmPerCell } from "./standard-loads.js";
import { carriedBy, translate } from "./translate.js";

// docs/definitions.md, 19 to 22.
const SERIES = 4;
const PACK: ModelPack = {
  openCircuitVolts: (charge) => 16.8 - charge / 9000,
  resistance: { earlyOhm: 0.012, growthOhm: 0.002 },
};
const CUTOFF_VOLTS = 13.2;
const packOhm = (loadA: number, series = SERIES) => series * standardOhmPerCell(loadA);

interface Frame {
  readonly series?: number;
  readonly restVolts?: number;
  readonly reachedCutoff?: boolean;
  readonly extension?: number;
}

function modelOf(trace: Trace, { series = SERIES, restVolts = 16.8, reachedCutoff = false }: Frame) {
  const loadCurrentA = valueAt(trace.time, trace.current, 2.5);
  const frame = {
    loadEndS: loadEndOf(trace),
    loadCurrentA,
    series,
    chemistry: "lipo",
    restVolts,
    reachedCutoff,
  } as const;
  const model = runModelOf(trace, frame);
  if (!model) throw new Error("no model was found");
  return model;
}

function carried(trace: Trace, loadA: number, frame: Frame = {}): Trace {
  const { series = SERIES, extension = 1 } = frame;
  const model = modelOf(trace, frame);
  const target = { load: loadA, series, cutoffVolts: CUTOFF_VOLTS, extension };
  const found = translate(cellSource(model, bestState(model)), model, target);
  if (!found) throw new Error("the source gives no current");
  return found;
}

const at = (trace: Trace, t: number) =>
  [valueAt(trace.time, trace.voltage, t), valueAt(trace.time, trace.current, t)] as const;

function expectAlike(got: Trace, expected: Trace, share: number): void {
  for (const t of [1, 5, 10, 30, 100, 0.95 * loadEndOf(expected)]) {
    for (const channel of [0, 1] as const) {
      expect(Math.abs(at(got, t)[channel] / at(expected, t)[channel] - 1)).toBeLessThan(share);
    }
  }
}

describe("a run carried to the load that was really there is the measurement", () => {
  test("for a pack whose resistance grows with the logarithm of time", () => {
    const measured = pulledBy(packOhm(100), PACK, CUTOFF_VOLTS);
    expectAlike(carried(measured, 100), measured, 1e-9);
  });

  // Closed form, derived: 50.4 V behind 20 mohm and one relaxation of 10 mohm, 2000 F, under R_s: tau' = C R1 (R0 + R_s) / (R0 + R1 + R_s).
  test("for one with a single time constant", () => {
    const [E, R0, R1, C, series] = [50.4, 0.02, 0.01, 2000, 12];
    const ohm = packOhm(40, series);
    const tau = (C * R1 * (R0 + ohm)) / (R0 + R1 + ohm);
    const relaxed = (t: number) => ((E * R1) / (R0 + R1 + ohm)) * (1 - Math.exp(-t / tau));
    const volts = (t: number) => ((E - relaxed(t)) * ohm) / (R0 + ohm);
    const measured = traceOf(instants(0, 180, 20), { volts, amperes: (t) => volts(t) / ohm });
    expectAlike(carried(measured, 40, { series, restVolts: E }), measured, 1e-9);
  });

  test("whatever the pack and the load", () => {
    const packs = fc.record({
      slope: fc.integer({ min: 4000, max: 20_000 }),
      early: fc.integer({ min: 4, max: 20 }),
      growth: fc.integer({ min: 0, max: 30 }),
      loadA: fc.constantFrom(63, 80, 100, 125, 160),
      rateHz: fc.constantFrom(5, 10, 20),
    });
    fc.assert(
      fc.property(packs, ({ slope, early, growth, loadA, rateHz }) => {
        const resistance = { earlyOhm: early / 1000, growthOhm: growth / 10_000 };
        const pack = { openCircuitVolts: (charge: number) => 16.8 - charge / slope, resistance };
        const measured = pulledBy(packOhm(loadA), pack, CUTOFF_VOLTS, rateHz);
        fc.pre(loadEndOf(measured) > 12);
        const own = carried(measured, loadA);
        for (const t of [1, 10, 0.9 * loadEndOf(measured)]) expect(at(own, t)[0]).toBeCloseTo(at(measured, t)[0], 8);
      }),
      { numRuns: 30 },
    );
  });
});

describe("a run carried to another load", () => {
  test.each([
    [100, 125],
    [125, 100],
    [100, 80],
  ])(
    "from %d to %d A is within 1 %% of the run that the same pack gives there, and back is the measurement within 0.2 %%",
    (from, to) => {
      const measured = pulledBy(packOhm(from), PACK, 12);
      const there = carried(measured, to);
      // This pack has no kinetics, of which the model assumes some: their uncertainty covers it.
      expectAlike(there, pulledBy(packOhm(to), PACK, 12.5), 0.01);
      expectAlike(carried(thenReleased(there, PACK.resistance), from), measured, 0.002);
    },
  );

  test("begins at onset, rises in time and has no temperature", () => {
    const moved = carried(pulledBy(packOhm(100), PACK, 13), 125);
    expect([moved.time[0], moved.temperature]).toEqual([0, null]);
    expect(moved.time.every((t, i) => i === 0 || t > (moved.time[i - 1] as number))).toBe(true);
  });

  test("says how far it was carried: the current there over the run's own at 10 s", () => {
    const model = modelOf(pulledBy(packOhm(100), PACK, 13), {});
    const source = cellSource(model, bestState(model));
    expect(carriedBy(source, model, 100, SERIES)).toBeCloseTo(1, 9);
    const there = carried(pulledBy(packOhm(100), PACK, 13), 125);
    expect(carriedBy(source, model, 125, SERIES) / (at(there, 10)[1] / model.current10sA)).toBeCloseTo(1, 2);
  });
});

describe("a run that ended at its cutoff, carried to a lighter load", () => {
  /** Falls steeply towards its end, as packs do. */
  const falling: ModelPack = {
    ...PACK,
    openCircuitVolts: (charge) => PACK.openCircuitVolts(charge) - 1.5 * Math.exp((charge - 8000) / 300),
  };
  const measured = pulledBy(packOhm(108), falling, CUTOFF_VOLTS);
  const drawn = ({ time, current }: Trace) => integrate(time, current, 0, loadEndOf({ time, current } as Trace));

  test("is carried on to the cutoff there, and draws what that load draws, within 0.5 %", () => {
    const moved = carried(measured, 100, { reachedCutoff: true });
    expect(moved.voltage.at(-1)).toBeLessThanOrEqual(CUTOFF_VOLTS);
    const cutoff = moved.voltage.findIndex((volts) => volts <= CUTOFF_VOLTS);
    const until = moved.time[cutoff] as number;
    const lighter = pulledBy(packOhm(100), falling, CUTOFF_VOLTS);
    expect(Math.abs(integrate(moved.time, moved.current, 0, until) / drawn(lighter) - 1)).toBeLessThan(0.005);
  });

  test("is not carried on when the cutoff was not reached", () => {
    expect(drawn(carried(measured, 100))).toBeCloseTo(drawn(measured), 0);
  });

  test("goes farther with a larger extension", () => {
    const far = drawn(carried(measured, 100, { reachedCutoff: true, extension: 1.4 }));
    expect(far).toBeGreaterThan(drawn(carried(measured, 100, { reachedCutoff: true })));
  });
});

describe("there is no model", () => {
  const trace = pulledBy(packOhm(100), PACK, 13);
  const frame = {
    loadEndS: loadEndOf(trace),
    loadCurrentA: 100,
    series: 4,
    chemistry: "lipo",
    restVolts: 16.8,
    reachedCutoff: false,
  } as const;
  test("of a run that ended before the window of the mark at 10 s, and there is one from then on", () => {
    expect(runModelOf(trace, { ...frame, loadEndS: 10.45 })).toBeNull();
    expect(runModelOf(trace, { ...frame, loadEndS: 10.5 })).not.toBeNull();
  });
  test("of voltages that rise under load", () => {
    expect(runModelOf(trace, { ...frame, restVolts: 13 })).toBeNull();
  });
});
