import { describe, expect, test } from "@jest/globals";
import { createRandom } from "../../../seed/simulator/random.js";
import { instants, traceOf } from "../../../test/support/traces.js";
import { MEDIAN_FACTOR, type Noise, noiseOf, noiseOfReading } from "./noise.js";

const time = instants(0, 1000, 20);
const random = createRandom(5);
const noisy = traceOf(time, {
  volts: (t) => 16 - 0.003 * t + 0.004 * random.gaussian(),
  amperes: (t) => 60 + 5 * Math.sin(t / 40) + 0.15 * random.gaussian(),
  celsius: (t) => 20 + 40 * (1 - Math.exp(-t / 500)) + 0.05 * random.gaussian(),
});

describe("the noise of a trace is found again", () => {
  const noise = noiseOf(noisy, 1000, 20);
  test.each([
    ["voltage", 0.004],
    ["current", 0.15],
    ["temperature", 0.05],
  ] as const)("%s: %d within 3 %, whatever the slow course", (channel, sigma) => {
    expect(Math.abs(noise[channel].deviation / sigma - 1)).toBeLessThan(0.03);
  });

  test("only from 1 s of load to the end of reading", () => {
    const voltage = noisy.voltage.map(
      (volts, i) => volts + ((time[i] as number) < 1 || (time[i] as number) >= 500 ? (i % 2) * 5 : 0),
    );
    expect(noiseOf({ ...noisy, voltage }, 500, 20).voltage.deviation).toBeLessThan(0.0045);
  });

  test("is none for a channel that was not logged", () => {
    expect(noiseOf({ ...noisy, temperature: null }, 1000, 20).temperature).toEqual({
      deviation: 0,
      resolution: 0,
      step: Number.POSITIVE_INFINITY,
    });
  });
});

describe("digits", () => {
  const stepped = (sigma: number) => {
    const draw = createRandom(9);
    const volts = (t: number) => Math.round((16 - 0.003 * t + sigma * draw.gaussian()) * 100) / 100;
    return noiseOf(traceOf(time, { volts, amperes: () => 60 }), 1000, 20).voltage;
  };
  test("that stand still for many samples leave their step over sqrt 12 (JCGM 100, F.2.2.1; clause from memory)", () => {
    expect(stepped(0).resolution).toBeCloseTo(0.01 / Math.sqrt(12), 9);
  });
  test("that noise moves average out", () => expect(stepped(0.01).resolution).toBe(0));
});

describe("what noise leaves in a reading", () => {
  const channel = { deviation: 0.05, resolution: 0, step: Number.POSITIVE_INFINITY };
  const noise: Noise = { power: channel, voltage: channel, current: channel, temperature: channel, rateHz: 1 };

  test("50 mA at 1 Hz over 3600 s is 0.833333 mAh of a charge (derived)", () => {
    const charge = { value: 40, channel: "current", integralOverS: 3600, integralFactor: 1 / 3600 } as const;
    expect(1000 * noiseOfReading(charge, noise)).toBeCloseTo(0.833333, 6);
  });
  test("falls with the root of the samples in a mean, not below one sample", () => {
    const mean = (meanOverS: number) => noiseOfReading({ value: 15, channel: "voltage", meanOverS }, noise);
    expect(mean(25)).toBeCloseTo(0.01, 12);
    expect(mean(0.5)).toBeCloseTo(0.05, 12);
  });
  test("is sqrt(pi / 2) times as large in a median", () => {
    expect(MEDIAN_FACTOR).toBeCloseTo(1.2533141373155, 12);
    expect(noiseOfReading({ value: 15, channel: "voltage", medianOf: 25 }, noise)).toBeCloseTo(
      0.01 * MEDIAN_FACTOR,
      12,
    );
  });
  test("does not average digits", () => {
    const digits = { ...noise, voltage: { deviation: 0, resolution: 0.003, step: 0.01 } };
    expect(noiseOfReading({ value: 15, channel: "voltage", meanOverS: 100 }, digits)).toBeCloseTo(0.003, 12);
  });
  test("is none in a time", () => expect(noiseOfReading({ value: 90, channel: "time" }, noise)).toBe(0));
});
