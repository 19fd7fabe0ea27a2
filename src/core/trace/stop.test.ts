import { describe, expect, test } from "@jest/globals";
import { instants, traceOf } from "../../../test/support/traces.js";
import { findStop, lastLoadedIndex, type Stop } from "./stop.js";

// docs/definitions.md, 12 and 14 to 17. A 4-cell pack; its cutoff of 3.3 V per cell is 13.2 V (common practice, no published source).
const LIMITS = { cutoffVolts: 13.2, series: 4, temperatureLimitC: 60 };
const time = instants(-2, 120, 10);

/** Falls by 10 mV/s and meets 13.2 V at `crossS`; 60 A from 0 until the load goes at `offS`. */
function stopOf(
  course: {
    crossS: number;
    offS?: number;
    volts?: (t: number, v: number) => number;
    amperes?: (t: number, a: number) => number;
    celsius?: (t: number) => number;
  },
  limits = LIMITS,
): Stop {
  const { crossS, offS = 1000, volts = (_, v) => v, amperes = (_, a) => a, celsius } = course;
  const loaded = (t: number) => t > -0.05 && t < offS + 0.05;
  const trace = traceOf(time, {
    volts: (t) => volts(t, loaded(t) ? 13.2 - 0.01 * (t - crossS) : 16),
    amperes: (t) => amperes(t, loaded(t) ? 60 : 0),
    ...(celsius ? { celsius } : {}),
  });
  return findStop(trace, 60, limits);
}
const between = (t: number, from: number, to: number) => t > from - 0.05 && t < to + 0.05;

describe("the cutoff is reached", () => {
  test("at the interpolated crossing", () => {
    const stop = stopOf({ crossS: 80.037, offS: 82 });
    expect(stop.reason).toBe("cutoff");
    expect(stop.cutoffS).toBeCloseTo(80.037, 9);
    expect(stop.endS).toBe(stop.cutoffS);
    expect(stop.loadEndS).toBeCloseTo(82, 9);
  });

  test("where a first stretch of 0.5 s at or below it begins, not at a dip of 0.4 s", () => {
    const dip = (lasting: number) => (t: number, v: number) => (between(t, 40, 40 + lasting) ? 13.1 : v);
    // The dip of samples between `from` and `to` crosses on the way down and up between samples, a little outside of them.
    expect(stopOf({ crossS: 80, offS: 82, volts: dip(0.2) }).cutoffS).toBeCloseTo(80, 9);
    expect(stopOf({ crossS: 80, offS: 82, volts: dip(0.5) }).cutoffS).toBeCloseTo(39.98, 1);
  });

  test("also when the load phase ends before 0.5 s are over", () => {
    expect(stopOf({ crossS: 80, offS: 80.2 }).cutoffS).toBeCloseTo(80, 9);
  });

  test("also when the log ends right there under load", () => {
    expect(stopOf({ crossS: 119.9 }).cutoffS).toBeCloseTo(119.9, 9);
  });

  test("at the onset when the pack is below it from there on", () => {
    expect(stopOf({ crossS: -10, offS: 30 }).cutoffS).toBe(0);
  });

  test("at the last loaded sample when the load was removed within 20 mV per cell above it", () => {
    // 7.9 s at 10 mV/s before the crossing: 79 mV above it, 19.75 mV per cell.
    const stop = stopOf({ crossS: 87.9, offS: 80 });
    expect(stop).toMatchObject({ reason: "cutoff" });
    expect(stop.cutoffS).toBeCloseTo(80, 9);
  });
});

test("a voltage that falls fast may be far above the cutoff with the last sample before the load went", () => {
  // By 0.4 V a sample: the next one would have been at 13.3 V, 25 mV per cell above the cutoff, or at 13.15 V.
  const falling = (t: number, v: number) => (t > 79.65 && t < 80.05 ? 13.7 - 4 * (t - 80) : v);
  expect(stopOf({ crossS: 300, offS: 80, volts: falling })).toMatchObject({ reason: "operator" });
  const closer = (t: number, v: number) => (t > 79.65 && t < 80.05 ? 13.55 - 4 * (t - 80) : v);
  const stop = stopOf({ crossS: 300, offS: 80, volts: closer });
  expect(stop.reason).toBe("cutoff");
  expect(stop.cutoffS).toBeCloseTo(80, 9);
});

describe("the run ended early", () => {
  test("by the operator, when the load was removed farther above the cutoff", () => {
    expect(stopOf({ crossS: 88.2, offS: 80 })).toMatchObject({ reason: "operator", cutoffS: null });
  });

  test("by the log's end, even within 20 mV per cell of the cutoff", () => {
    expect(stopOf({ crossS: 121 })).toMatchObject({ reason: "log-end", cutoffS: null, endS: 120 });
  });

  test("by a lost load, when the current comes back to half of the load current", () => {
    const lost = (back: number) => (t: number, a: number) => (between(t, 40, 42) ? 0 : t > 42 ? back : a);
    expect(stopOf({ crossS: 300, amperes: lost(31) })).toMatchObject({ reason: "load-lost", cutoffS: null });
    expect(stopOf({ crossS: 300, amperes: lost(29) })).toMatchObject({ reason: "operator", cutoffS: null });
  });

  test.each([
    [60, "temperature-limit"],
    [59.9, "operator"],
  ])("with the pack at %d degC: %s", (celsius, reason) => {
    expect(stopOf({ crossS: 300, offS: 80, celsius: (t) => (t > 70 ? celsius : 30) }).reason).toBe(reason);
  });

  test("by the operator when the pack was hot only after the load", () => {
    expect(stopOf({ crossS: 300, offS: 80, celsius: (t) => (t > 85 ? 65 : 30) }).reason).toBe("operator");
  });
});

describe("a current that lags the voltage by up to a sample", () => {
  /** The voltage of a load that goes at `offS`, and a current that shows it for so much longer. */
  const lagging = (crossS: number, offS: number, lagS: number) =>
    stopOf({
      crossS,
      offS: offS + lagS,
      volts: (t, v) => (t > offS + 0.001 && t < offS + lagS + 0.001 ? 15.4 : v),
    });

  test.each([0.02, 0.05, 0.099, 0.1])("of %d s leaves the cutoff where it was", (lagS) => {
    expect(lagging(80, 80.2, lagS).cutoffS).toBeCloseTo(80, 9);
  });

  test.each([0.05, 0.1])("of %d s does not hide a load removed just above the cutoff", (lagS) => {
    const stop = lagging(84, 80, lagS);
    expect(stop.reason).toBe("cutoff");
    expect(stop.cutoffS).toBeCloseTo(80, 9);
  });

  test("does not make one of a run that ended far above it", () => {
    expect(lagging(200, 80, 0.1)).toMatchObject({ reason: "operator", cutoffS: null });
  });
});

// A step of a ladder, whose bench ends it at 60 degC by its own probe (common practice, no published source).
describe("a step that the temperature may end", () => {
  const ladder = (probeK: number) => ({ ...LIMITS, endingProbeK: probeK });
  /** Warms by 0.3 K/s and reads `celsius` at the last loaded sample, 80 s; logged at 1 Hz. */
  const endedAt = (celsius: number, { probeK = 0.1, crossS = 300, slope = 0.3 } = {}) => {
    const slow = instants(-2, 90, 1);
    const trace = traceOf(slow, {
      volts: (t) => (t > -0.05 && t < 80.05 ? 13.2 - 0.01 * (t - crossS) : 16),
      amperes: (t) => (t > -0.05 && t < 80.05 ? 60 : 0),
      celsius: (t) => celsius + slope * (Math.min(t, 81) - 80),
    });
    return findStop(trace, 60, ladder(probeK));
  };

  test.each([
    [60.2, "temperature-limit"],
    [59.9, "temperature-limit"],
    [59.8, "temperature-limit"],
    [59.4, "temperature-limit"],
    [58, "operator"],
  ])("at %d degC, one sample before the next: %s", (celsius, reason) => {
    expect(endedAt(celsius)).toMatchObject({ reason, cutoffS: null });
  });

  test("within the probe's stated accuracy of the limit", () => {
    expect([endedAt(58, { probeK: 2 }).reason, endedAt(57, { probeK: 2 }).reason]).toEqual([
      "temperature-limit",
      "operator",
    ]);
  });

  test("has failed even where its voltage was near the cutoff", () => {
    expect(endedAt(59.8, { crossS: 84 })).toMatchObject({ reason: "temperature-limit", cutoffS: null });
    expect(endedAt(58.5, { crossS: 84, probeK: 2 })).toMatchObject({ reason: "temperature-limit", cutoffS: null });
  });

  test("has not where its voltage was at the cutoff with the next sample and the temperature only within the probe's accuracy", () => {
    expect(endedAt(58.5, { crossS: 80.5, probeK: 2 })).toMatchObject({ reason: "cutoff", cutoffS: 80 });
  });

  test("has not where it went through the cutoff first, nor where no limit ends a run", () => {
    expect(endedAt(59.5, { crossS: 78 })).toMatchObject({ reason: "cutoff" });
    expect(stopOf({ crossS: 84, offS: 80, celsius: () => 59.9 })).toMatchObject({ reason: "cutoff" });
  });
});

describe("the load phase", () => {
  const lastS = (amperes: (t: number) => number) => time[lastLoadedIndex(time, time.map(amperes), 60)];
  test("goes on over a gap in the load shorter than 0.5 s", () => {
    expect(lastS((t) => (t < -0.05 || between(t, 40, 40.4) ? 0 : 60))).toBe(120);
  });
  test("ends at a gap of 0.5 s", () => {
    expect(lastS((t) => (t < -0.05 || between(t, 40, 40.5) ? 0 : 60))).toBeCloseTo(39.9, 9);
  });
  test("ends below a tenth of the load current, and not above it", () => {
    expect(lastS((t) => (t > 50.05 ? 5.9 : 60))).toBeCloseTo(50, 9);
    expect(lastS((t) => (t > 50.05 ? 6 : 60))).toBe(120);
  });
  test("ends at a short unloaded stretch that reaches to the log's end", () => {
    expect(lastS((t) => (t > 119.85 ? 0 : 60))).toBeCloseTo(119.8, 9);
  });
});

describe("a current that its logger smooths", () => {
  /** The load goes 0.2 s after the voltage meets the cutoff, and its current falls to nothing over the time of the mean. */
  const smoothed = (crossS: number, overS: number, volts: (t: number, v: number) => number = (_, v) => v) =>
    stopOf({
      crossS,
      offS: 80.2,
      volts: (t, v) => volts(t, t > 80.25 ? 15.4 + 0.05 * (t - 80.2) : v),
      amperes: (t) => (t < -0.05 ? 0 : 60 * Math.max(0, Math.min(1, 1 - (t - 80.2) / overS))),
    });

  test.each([0.2, 0.5, 1])("over %d s leaves the cutoff where the voltage met it", (overS) => {
    expect(smoothed(80, overS).cutoffS).toBeCloseTo(80, 9);
  });

  test("also where the voltage stands still while it falls", () => {
    expect(smoothed(80, 0.5, (t, v) => (t > 80.25 ? 15.4 : v)).cutoffS).toBeCloseTo(80, 9);
  });

  test("does not make a cutoff of a load that was taken off far above it", () => {
    expect(smoothed(200, 0.5)).toMatchObject({ reason: "operator", cutoffS: null });
  });
});
