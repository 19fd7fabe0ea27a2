import { describe, expect, test } from "@jest/globals";
import { BENCH, PACK } from "../../../test/support/facts.js";
import { channelsOf, instants, traceOf } from "../../../test/support/traces.js";
import type { BenchFacts, Sense, Trace } from "../model.js";
import { normalise } from "./normalise.js";

const LIMITS = { cutoffVolts: 13.2, series: 4, temperatureLimitC: 60 };
const benchSensing = (sense: Sense): BenchFacts => ({
  ...BENCH,
  temperature: null,
  sense,
});
const AT_PACK = benchSensing({ point: "pack" });

/** 16.8 V at rest for `restS`, then `loggedA` and 15 V falling by 25 mV/s until the load goes at 75 s. */
function runOf(loggedA: number, restA: number, { restS = 3, bench = AT_PACK, sign = 1, offS = 75 } = {}) {
  const trace = traceOf(instants(10 - restS, 100, 10), {
    volts: (t) => (t < 10 || t > 10 + offS ? 16.8 : 15 - 0.025 * (t - 10)),
    amperes: (t) => sign * (t < 10 || t > 10 + offS ? restA : loggedA),
  });
  return normalise(channelsOf(trace), PACK, bench, LIMITS);
}
const kinds = (run: ReturnType<typeof runOf>) => run.adjustments.map(({ kind }) => kind);

// docs/definitions.md, 10.
describe("the current sensor's zero", () => {
  test.each([
    [2, true],
    [-2, true],
    [2.01, false],
    [-2.01, false],
  ])("of %d A under a load of 100 A: subtracted is %p", (restA, subtracted) => {
    const run = runOf(100, restA);
    expect(run.zero).toMatchObject({ offsetA: restA, subtracted });
    expect(run.loadCurrentA).toBeCloseTo(subtracted ? 100 - restA : 100, 12);
    expect(run.trace.current[run.trace.time.findIndex((t) => t > 1)]).toBeCloseTo(subtracted ? 100 - restA : 100, 12);
  });

  test("is named as an adjustment with its number, and only when it was subtracted", () => {
    expect(runOf(100, 1.5).adjustments).toContainEqual(
      expect.objectContaining({ kind: "current-zeroed", before: 1.5, after: 0, unit: "A" }),
    );
    expect(kinds(runOf(100, 3))).not.toContain("current-zeroed");
    expect(kinds(runOf(100, 0))).not.toContain("current-zeroed");
  });

  test("is not known from less than 1 s of rest", () => {
    expect(runOf(100, 1, { restS: 0.9 }).zero).toBeNull();
    expect(runOf(100, 1, { restS: 1.1 }).zero?.offsetA).toBe(1);
  });
});

describe("a small load with the sensor's offset", () => {
  const benchOf = (offset: number): BenchFacts => ({ ...AT_PACK, current: { percent: 1, offset } });

  test.each([0.02, -0.02, 0.06, 0.1, -0.1])(
    "of %d A, within the 0.1 A that the bench states, is subtracted at 1 A",
    (restA) => {
      const run = runOf(1 + restA, restA, { bench: benchOf(0.1) });
      expect(run.zero).toMatchObject({ isKnown: true, subtracted: true });
      expect(run.loadCurrentA).toBeCloseTo(1, 9);
      expect(run.trace.time[0]).toBeCloseTo(-2.95, 9);
    },
  );

  test.each([0.06, 0.08, 0.12])("of %d A beyond what it states stays, and the rest is not read as load", (restA) => {
    const run = runOf(1, restA, { bench: benchOf(0.01) });
    expect(run.zero).toMatchObject({ offsetA: restA, isKnown: false, subtracted: false });
    expect(run.loadCurrentA).toBe(1);
    expect(run.trace.time[0]).toBeCloseTo(-2.95, 9);
    expect(run.rest?.volts).toBe(16.8);
  });

  test("of exactly nothing is a measured zero, with nothing to subtract", () => {
    expect(runOf(1, 0, { bench: benchOf(0.1) }).zero).toMatchObject({ offsetA: 0, isKnown: true, subtracted: false });
  });
});

describe("the rest is what was logged just before the load", () => {
  const loaded = (t: number) => t >= 120 && t < 180;
  const runWith = (before: (t: number) => number, after: (t: number) => number = () => 0) => {
    const amperes = (t: number) => (loaded(t) ? 100 : t < 120 ? before(t) : after(t));
    const trace = traceOf(instants(0, 400, 5), { volts: (t) => 16 - 0.02 * amperes(t), amperes });
    return normalise(channelsOf(trace), PACK, AT_PACK, LIMITS);
  };

  test.each<[string, (t: number) => number]>([
    ["a charge", (t) => (t < 100 ? -5 : 0.3)],
    ["a slow charge", (t) => (t < 100 ? -1.2 : 0.3)],
    ["a charge up to 3 s before", (t) => (t < 117 ? -5 : 0.3)],
    ["a short blip", (t) => (t > 118 && t < 118.5 ? 80 : 0.3)],
    ["another offset two minutes ago", (t) => (t < 30 ? 1.5 : 0.3)],
  ])("after %s", (_, before) => {
    const run = runWith(before);
    expect(run.zero?.offsetA).toBeCloseTo(0.3, 12);
    expect(run.loadCurrentA).toBeCloseTo(99.7, 9);
    expect(run.trace.time[0]).toBeCloseTo(-119.9, 9);
  });

  test("and a recharge after the run is none of it", () => {
    const run = runWith(
      () => 0,
      (t) => (t > 200 ? -104 : 0),
    );
    expect(run.samples.turned).toBe(false);
    expect(run.stop.loadEndS).toBeCloseTo(59.9, 9);
    expect(run.summary.stop).toBe("operator");
  });
});

describe("rules look only where figures look", () => {
  const clean = traceOf(instants(0, 900, 5), {
    volts: (t) => (t >= 5 && t < 100 ? 15 - 0.019 * (t - 5) : 16.8),
    amperes: (t) => (t >= 5 && t < 100 ? 60 : 0),
    celsius: () => 25,
  });
  const at = (seconds: number) => 5 * seconds;
  const normalised = (change: (trace: Trace) => void) => {
    const trace = {
      ...clean,
      time: clean.time.slice(),
      voltage: clean.voltage.slice(),
      temperature: clean.temperature?.slice() ?? null,
    };
    change(trace);
    return normalise(channelsOf(trace), PACK, AT_PACK, LIMITS);
  };

  test.each([
    [50, 1],
    [103, 1],
    [700, 0],
  ])("a time stamp of before and a row without a number at %d s count %d times", (seconds, count) => {
    const doubled = normalised(({ time }) => {
      time[at(seconds)] = time[at(seconds) - 2] as number;
    });
    expect(doubled.part.unordered.count).toBe(count);
    const blank = normalised(({ voltage }) => {
      voltage[at(seconds)] = Number.NaN;
    });
    expect(blank.part.unusable.count).toBe(count);
  });

  test.each([
    [50, true],
    [700, false],
  ])("a probe that is silent for 20 s at %d s: not logged is %p", (seconds, isNone) => {
    const { trace } = normalised(({ temperature }) => temperature?.fill(Number.NaN, at(seconds), at(seconds + 20)));
    expect(trace.temperature === null).toBe(isNone);
  });

  test.each([
    [50, 2],
    [700, 0],
  ])("a spike of two samples at %d s: %d are left", (seconds, count) => {
    const { spikes } = normalised(({ voltage }) => voltage.fill(40, at(seconds), at(seconds) + 2));
    expect(spikes.left.count).toBe(count);
  });
});

describe("a run is normalised", () => {
  test("to seconds from onset, with its rest voltage and the summary of its trace", () => {
    const run = runOf(100, 0);
    expect(run.trace.time[0]).toBeCloseTo(-2.95, 9);
    expect(run.rest).toMatchObject({ volts: 16.8 });
    expect(run.summary).toMatchObject({ samples: 931, stop: "cutoff" });
    expect(run.summary.rateHz).toBeCloseTo(10, 6);
    // 13.2 V is met 72 s after the first loaded sample, which is half a step after the onset.
    expect(run.summary.cutoffS).toBeCloseTo(72.05, 6);
  });

  test.each([
    [3, "the median of the rest's last second", 21.5],
    [0, "that of the onset when no rest was logged", 30],
  ])("with the pack's first temperature: after %d s of rest %s", (restS, _, celsius) => {
    const trace = traceOf(instants(10 - restS, 60, 10), {
      volts: (t) => (t < 10 ? 16.8 : 15 - t / 100),
      amperes: (t) => (t < 10 ? 0 : 50),
      celsius: (t) => (t < 8.95 ? 5 : t < 10 ? 21.5 : 30),
    });
    expect(normalise(channelsOf(trace), PACK, AT_PACK, LIMITS).startTemperatureC).toBe(celsius);
  });

  test("with the largest gap under load, wherever the log has others", () => {
    const trace = traceOf(
      instants(0, 60, 10).filter((t) => !(t > 1 && t < 4) && !(t > 30 && t < 31.45)),
      { volts: (t) => (t < 10 || t > 55 ? 16.8 : 15), amperes: (t) => (t < 10 || t > 55 ? 0 : 50) },
    );
    const { largestGap } = normalise(channelsOf(trace), PACK, AT_PACK, LIMITS);
    expect(largestGap.seconds).toBeCloseTo(1.5, 9);
    expect(largestGap.fromS).toBeCloseTo(30 - 9.95, 9);
  });

  test("with discharge turned positive, which is named", () => {
    const run = runOf(100, 0, { sign: -1 });
    expect(run.loadCurrentA).toBe(100);
    expect(run.adjustments).toContainEqual(
      expect.objectContaining({ kind: "current-turned", before: -100, after: 100 }),
    );
  });

  test("with the drop over known leads added at every sample, and nothing over unknown ones", () => {
    const known = runOf(100, 0, { bench: benchSensing({ point: "lead", resistanceMilliohm: 2 }) });
    const raw = runOf(100, 0);
    known.trace.voltage.forEach((volts, i) => {
      expect(volts).toBeCloseTo((raw.trace.voltage[i] as number) + 0.002 * (raw.trace.current[i] as number), 12);
    });
    expect(known.adjustments).toContainEqual(
      expect.objectContaining({ kind: "sense-corrected", before: 0, after: 0.2, unit: "V" }),
    );
    const unknown = runOf(100, 0, { bench: benchSensing({ point: "lead" }) });
    expect(unknown.senseOhm).toBeNull();
    expect(unknown.trace.voltage).toEqual(raw.trace.voltage);
  });

  test("and clipped at the cutoff, which is worth a word only past 0.5 s", () => {
    const long = runOf(100, 0, { offS: 75 });
    expect(long.clippedS).toBeCloseTo(3, 6);
    expect(kinds(long)).toContain("clipped-at-cutoff");
    expect(kinds(runOf(100, 0, { offS: 72.4 }))).not.toContain("clipped-at-cutoff");
  });
});

test("a log without discharge is refused, and says what to check", () => {
  expect(() => runOf(0, 0)).toThrow(
    expect.objectContaining({ code: "log-no-load", message: expect.stringMatching(/current sensor/) }),
  );
});
