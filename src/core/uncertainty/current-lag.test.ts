import { describe, expect, test } from "@jest/globals";
import { BENCH, FACTS } from "../../../test/support/facts.js";
import { channelsOf, traceOf } from "../../../test/support/traces.js";
import { normalise } from "../trace/normalise.js";
import { currentLag } from "./current-lag.js";
import { noiseOf } from "./noise.js";

const OHM = 0.012;
const LOAD_A = 100;
const LIMITS = { cutoffVolts: 13.2, series: 4, temperatureLimitC: 60, endingProbeK: null };

/** A load that rises linearly over `riseS`, whose current is logged as the mean over the last `meanS`; the voltage at once. */
function lagOf(riseS: number, meanS: number, rateHz: number) {
  const time = Float64Array.from({ length: 40 * rateHz }, (_, i) => i / rateHz - 5 + 0.013);
  const drawn = (t: number) => LOAD_A * Math.max(0, Math.min(1, t / riseS));
  const past = Array.from({ length: 200 }, (_, k) => (meanS * (k + 0.5)) / 200);
  const trace = traceOf(time, {
    volts: (t) => 16.8 - OHM * drawn(t) - 0.01 * Math.max(0, t),
    amperes: (t) => past.reduce((sum, s) => sum + drawn(t - s), 0) / 200,
  });
  const run = normalise(channelsOf(trace), FACTS.pack, BENCH, LIMITS);
  return currentLag(run, noiseOf(run.trace, run.stop.endS, rateHz, null));
}

describe("a current that comes on after the voltage shows it", () => {
  // A mean over the last L seconds of a step is half up L / 2 after it.
  test.each([
    [0.02, 0.4, 50],
    [0.02, 1.2, 20],
    [0.2, 1, 50],
  ])("a rise of %d s averaged over %d s at %d Hz lags by half of that", (riseS, meanS, rateHz) => {
    const lag = lagOf(riseS, meanS, rateHz);
    expect(Math.abs((lag?.lagS as number) - meanS / 2)).toBeLessThan(Math.max(1 / rateHz, 0.1 * meanS));
    expect(lag?.settledA).toBeCloseTo(LOAD_A, 0);
  });

  test.each([0.02, 0.3, 0.9])("a rise of %d s that is logged as it is has none", (riseS) => {
    for (const rateHz of [5, 20, 100]) expect(lagOf(riseS, 1e-6, rateHz)).toBeNull();
  });

  test("less than an interval is none: channels of one sample are read one after the other", () => {
    expect(lagOf(0.02, 0.3, 5)).toBeNull();
  });
});
