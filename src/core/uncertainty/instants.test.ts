import { describe, expect, test } from "@jest/globals";
import { createRandom } from "../../../seed/simulator/random.js";
import { FACTS } from "../../../test/support/facts.js";
import { channelsOf, instants, traceOf } from "../../../test/support/traces.js";
import { normalise } from "../trace/normalise.js";
import { firstReach } from "../trace/series.js";
import { cutoffUncertainty, onsetUncertainty } from "./instants.js";
import { noiseOf } from "./noise.js";

const RATE_HZ = 10;
const LIMITS = { cutoffVolts: 13.2, series: 4, temperatureLimitC: 60 };

/** Error of the onset and its u, for a load whose straight rise lasts `riseS` and begins `phaseS` after a sample. */
function onsetOf(riseS: number, phaseS: number) {
  const trace = traceOf(instants(-3, 30, RATE_HZ), {
    volts: (t) => (t < phaseS ? 16.8 : 15),
    amperes: (t) => 100 * Math.min(1, Math.max(0, (t - phaseS) / riseS)),
  });
  const run = normalise(channelsOf(trace), FACTS.pack, FACTS.bench, LIMITS);
  const found = (trace.time[0] as number) - (run.trace.time[0] as number);
  return { error: found - (phaseS + riseS / 2), u: onsetUncertainty(run, noiseOf(run.trace, 30, RATE_HZ, null)) };
}

describe("the onset", () => {
  const phases = Array.from({ length: 40 }, (_, i) => i / 400);
  test.each([0.001, 0.05])(
    "of a rise of %d s lies within 2 u for nearly all places between samples at 10 Hz",
    (riseS) => {
      const found = phases.map((phase) => onsetOf(riseS, phase));
      const rms = Math.sqrt(found.reduce((sum, { error, u }) => sum + (error / u) ** 2, 0) / found.length);
      expect(rms).toBeGreaterThan(0.6);
      expect(rms).toBeLessThan(1.1);
    },
  );
  test("of a rise over many samples is known far better than their distance", () => {
    expect(onsetOf(1, 0.03).u).toBeLessThan(0.05 * (0.5 / RATE_HZ));
  });
});

describe("the cutoff", () => {
  test("moves with the noise at the crossing: 10 mV over 0.02 V/s between samples, root 2/3 of it", () => {
    const random = createRandom(2);
    const errors = Array.from({ length: 400 }, () => {
      const volts = (t: number) => 15 - 0.2 * t + 0.01 * random.gaussian();
      const trace = traceOf(instants(0, 20, 5), { volts, amperes: () => 100 });
      const cutoffS = firstReach(trace.time, trace.voltage, 13.2, "down", 0, 20);
      return {
        error: (cutoffS as number) - 9,
        u: cutoffUncertainty(trace, cutoffS, noiseOf(trace, 20, 5, null), 13.2),
      };
    });
    const rms = Math.sqrt(errors.reduce((sum, { error, u }) => sum + (error / u) ** 2, 0) / errors.length);
    expect(Math.abs(rms - 1)).toBeLessThan(0.15);
  });
  test("under a noise that hides the fall over 2 s is as uncertain as the fall over a longer time shows", () => {
    const random = createRandom(3);
    const found = Array.from({ length: 100 }, () => {
      const trace = traceOf(instants(0, 60, 8), {
        volts: (t) => 14.4 - 0.03 * t + 0.1 * random.gaussian(),
        amperes: () => 100,
      });
      return cutoffUncertainty(trace, 40, noiseOf(trace, 60, 8, null), null);
    });
    const expected = (Math.sqrt(2 / 3) * 0.1) / 0.03;
    for (const u of found) {
      expect(u / expected).toBeGreaterThan(0.6);
      expect(u / expected).toBeLessThan(1.7);
    }
  });
  test("of a load removed 40 mV above it at 0.02 V/s lay up to 2 s later, rectangular", () => {
    const trace = traceOf(instants(0, 20, 20), { volts: (t) => 15 - 0.02 * t, amperes: () => 100 });
    const noise = noiseOf(trace, 20, 20, null);
    expect(cutoffUncertainty(trace, 20, noise, 14.56)).toBeCloseTo(2 / Math.sqrt(3), 3);
    // 1 mV from sample to sample, as digits that nothing moves: 1 mV / sqrt 12 over the slope.
    expect(cutoffUncertainty(trace, 20, noise, null)).toBeCloseTo(0.001 / Math.sqrt(12) / 0.02, 3);
  });
  test("that was not reached has none", () => {
    const trace = traceOf(instants(0, 20, 20), { volts: () => 15, amperes: () => 100 });
    expect(cutoffUncertainty(trace, null, noiseOf(trace, 20, 20, null), 13.2)).toBe(0);
  });
});
