import { describe, expect, it } from "@jest/globals";
import fc from "fast-check";
import { CHEMISTRIES, type PackFacts } from "../model.js";
import { NEWEST_PROTOCOLS } from "../protocol/index.js";
import { PlanRefused, type PlanRequest, planOf } from "./plan.js";

const pack: PackFacts = {
  chemistry: "lipo",
  series: 4,
  parallel: 1,
  ratedCapacityMah: 5_000,
  labelContinuousC: 30,
  labelBurstC: 60,
  massGrams: 480,
};
const request: PlanRequest = { pack, ohm: null, loadA: null, ladder: { steps: [], estimateA: null } };
const protocol = (key: string) => {
  const found = NEWEST_PROTOCOLS.find((one) => one.key === key);
  if (!found) throw new Error(key);
  return found;
};
const texts = (key: string, more: Partial<PlanRequest> = {}) =>
  planOf(protocol(key), { ...request, ...more })
    .checklist.map(({ text }) => text)
    .join("\n");

describe("a plan under full load", () => {
  const plan = planOf(protocol("full-load"), request);

  it("proposes a standard load within label and habit, with the resistance that it is", () => {
    expect(plan.loads[0]?.currentA).toBe(100);
    // ISO 3, R10 (from memory): the next ones are 80 and 125. R = S x 3.7 V / load.
    expect(plan.standardLoads.map(({ loadA }) => loadA)).toEqual(expect.arrayContaining([80, 100, 125]));
    expect(plan.standardLoads.find(({ loadA }) => loadA === 100)?.ohm).toBeCloseTo(0.148, 12);
    for (const { ratio } of plan.standardLoads) {
      expect(ratio).toBeGreaterThanOrEqual(0.7);
      expect(ratio).toBeLessThanOrEqual(1.4);
    }
  });

  it("names cutoff, cut-outs and what the log needs, from the protocol's own rules", () => {
    expect(plan.stop).toEqual({ cutoffVolts: 13.2, cutoffVoltsPerCell: 3.3, temperatureLimitC: 60, cutOutC: 70 });
    expect(plan.demands).toMatchObject({ rateHz: 5, gapS: 1, riseS: 1, recoveryS: 6, temperatureChannel: "advised" });
    expect(plan.demands.restMinutes).toEqual({ minimum: 10, maximum: null });
    expect(plan.demands.restVolts?.minimum).toBeCloseTo(16.6, 9);
    expect(plan.demands.restVolts?.maximum).toBeCloseTo(16.92, 9);
  });

  it("expects what such a pack does", () => {
    const { seconds, capacityMah, highestPowerW, loadHeatWh } = plan.expected ?? {};
    // 5 Ah at 100 A is 180 s at most; a pack that sags reaches the cutoff a little before.
    expect(seconds).toBeGreaterThan(150);
    expect(seconds).toBeLessThanOrEqual(180);
    expect(capacityMah).toBeLessThanOrEqual(5_000);
    expect(highestPowerW).toBeCloseTo(100 * (16.8 - 100 * 0.008), 3);
    expect(loadHeatWh).toBeGreaterThan(60);
  });

  it("takes a measured resistance in place of a typical one", () => {
    const worse = planOf(protocol("full-load"), { ...request, ohm: 0.016 });
    expect(worse.expected?.packHeatWh).toBeGreaterThan(1.5 * (plan.expected?.packHeatWh ?? 0));
  });

  it("puts the maker's limits first", () => {
    expect(() => planOf(protocol("full-load"), { ...request, loadA: 151 })).toThrow(PlanRefused);
    expect(() => planOf(protocol("full-load"), { ...request, loadA: 151 })).toThrow("150 A");
    const unlabelled = { ...pack, labelContinuousC: null, labelBurstC: null };
    expect(() => planOf(protocol("full-load"), { ...request, pack: unlabelled, loadA: 2_000 })).toThrow("at once");
    expect(texts("full-load")).toContain("The label allows 150 A continuously");
    expect(texts("full-load", { pack: unlabelled })).toContain("Look up the maker's highest continuous current");
  });
});

describe("a plan for a pack whose label names a burst current alone", () => {
  // 8 C of 5 Ah: 40 A.
  const burstAlone = { ...pack, labelContinuousC: null, labelBurstC: 8 };
  const plan = (key: string, loadA: number | null = null) =>
    planOf(protocol(key), { ...request, pack: burstAlone, loadA });

  it("proposes half of it at most, and draws no more than it whatever is asked for", () => {
    expect(plan("full-load").loads[0]?.currentA).toBe(20);
    expect(plan("current-ladder").loads[0]?.currentA).toBe(10);
    expect(plan("full-load", 40).loads[0]?.currentA).toBe(40);
    for (const key of ["full-load", "current-ladder"]) {
      expect(() => plan(key, 41)).toThrow(
        "must be at most 40 A, the burst current on the label, and the continuous one is lower: the maker's limits come first",
      );
    }
    const weak = { ...burstAlone, labelBurstC: 0.5 };
    expect(() => planOf(protocol("two-pulse"), { ...request, pack: weak })).toThrow("must be at most 2.5 A");
  });

  it("goes no further with a ladder than to it", () => {
    const steps = [{ currentA: 36, passes: true }];
    const next = (passed: typeof steps) =>
      planOf(protocol("current-ladder"), { ...request, pack: burstAlone, ladder: { steps: passed, estimateA: null } })
        .nextStep;
    expect(next(steps)).toEqual({ currentA: 40, reason: "higher" });
    expect(next([{ currentA: 40, passes: true }])).toEqual({ currentA: null, reason: "label-reached" });
  });

  it("says that the continuous one is to be looked up, and is lower", () => {
    const said = texts("full-load", { pack: burstAlone });
    expect(said).toContain("The label names 40 A, and for bursts alone: the maker's continuous current is lower.");
    expect(said).toContain("Look up the maker's highest continuous current");
  });
});

describe("a load set to the current on the label", () => {
  // 20 C of 5 Ah: 100 A. Of a full pack, 16.8 V, a resistance draws most; at the cutoff, 13.2 V, a power does.
  const plan = planOf(protocol("full-load"), { ...request, pack: { ...pack, labelContinuousC: 20 }, loadA: 100 });

  it("draws no more than it when it is set as a resistance or as a power", () => {
    const [{ currentA, ohm, powerW } = { currentA: 0, ohm: 0, powerW: 0 }] = plan.loads;
    expect(currentA).toBe(100);
    expect(16.8 / ohm).toBeCloseTo(100, 9);
    expect(powerW / 13.2).toBeCloseTo(100, 9);
    expect(plan.expected?.highestCurrentA).toBeCloseTo(100, 9);
  });

  it("names no standard load that would draw more", () => {
    // 100 A is 0.148 ohm: with 0.008 ohm of the pack it draws 16.8 / 0.156 = 108 A of a full one.
    expect(plan.standardLoads.map(({ loadA }) => loadA)).toEqual([80]);
  });

  it("rates load and leads for the most that any setting draws where the label allows more", () => {
    const free = planOf(protocol("full-load"), { ...request, loadA: 100 });
    expect(free.expected?.highestCurrentA).toBeCloseTo((free.loads[0]?.powerW ?? 0) / 13.2, 9);
    expect(free.expected?.highestCurrentA).toBeGreaterThan(115);
  });
});

describe("a plan under the other protocols", () => {
  it("draws 0.2 It and 1 It for two pulses, and 0.2 It for five hours", () => {
    const pulses = planOf(protocol("two-pulse"), request);
    expect(pulses.loads.map(({ currentA, seconds }) => [currentA, seconds])).toEqual([
      [1, 10],
      [5, 1],
    ]);
    expect(pulses.expected).toMatchObject({ seconds: 11, endsAtCutoff: false });
    expect(pulses.stop.cutoffVolts).toBeNull();
    const [rated] = planOf(protocol("rated-capacity"), request).loads;
    expect(rated?.currentA).toBe(1);
    expect((rated?.seconds ?? 0) / 3_600).toBeCloseTo(5, 1);
    expect(() => planOf(protocol("rated-capacity"), { ...request, loadA: 2 })).toThrow("must be left out");
  });

  it("goes on from the steps of a ladder, and has no load once it is done", () => {
    const ladder = (steps: PlanRequest["ladder"]["steps"]) =>
      planOf(protocol("current-ladder"), { ...request, ladder: { steps, estimateA: null } });
    expect(ladder([]).loads[0]?.currentA).toBe(40);
    const done = ladder([
      { currentA: 95, passes: true },
      { currentA: 100, passes: false },
    ]);
    expect([done.loads, done.nextStep]).toEqual([[], { currentA: null, reason: "bracketed" }]);
    expect(texts("current-ladder")).toContain("this protocol needs it");
    expect(texts("current-ladder")).toContain("set to 60 degC: it ends the step");
  });
});

it("of every protocol and pack cautions first, and never goes beyond label or cutoff", () => {
  const anything = fc.record({
    chemistry: fc.constantFrom(...CHEMISTRIES),
    series: fc.integer({ min: 1, max: 14 }),
    ratedCapacityMah: fc.integer({ min: 100, max: 50_000 }),
    labelContinuousC: fc.option(fc.double({ min: 1, max: 200, noNaN: true })),
    labelBurstC: fc.option(fc.double({ min: 1, max: 400, noNaN: true })),
    massGrams: fc.option(fc.double({ min: 1, max: 10_000, noNaN: true })),
    key: fc.constantFrom(...NEWEST_PROTOCOLS.map((one) => one.key)),
  });
  fc.assert(
    fc.property(anything, ({ key, ...facts }) => {
      const plan = planOf(protocol(key), { ...request, pack: { ...pack, ...facts } });
      expect(plan.cautions.length).toBeGreaterThan(0);
      const least = Math.min(...[plan.labelContinuousA, plan.labelBurstA].filter((one) => one !== null));
      const label = least * (1 + 1e-9);
      for (const { currentA } of plan.standardLoads) expect(currentA).toBeLessThanOrEqual(label);
      for (const { currentA, seconds, powerW, ohm } of plan.loads) {
        expect(currentA).toBeLessThanOrEqual(label);
        expect(powerW / (plan.stop.cutoffVolts ?? Number.POSITIVE_INFINITY)).toBeLessThanOrEqual(label);
        expect(powerW).toBeLessThanOrEqual(currentA ** 2 * ohm * (1 + 1e-9));
        expect(seconds).toBeGreaterThan(0);
      }
      for (const { text } of plan.checklist) expect(text).not.toMatch(/NaN|undefined|null|Infinity/);
    }),
    { seed: 5 },
  );
});
