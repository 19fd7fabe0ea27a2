import { describe, expect, test } from "@jest/globals";
import { createRandom } from "../../../seed/simulator/random.js";
import { instants, traceOf } from "../../../test/support/traces.js";
import { type Noise, noiseOf, noiseOfReading, translatedNoiseOf } from "./noise.js";
import { MEDIAN_FACTOR } from "./sample-noise.js";

const time = instants(0, 1000, 20);
const random = createRandom(5);
const noisy = traceOf(time, {
  volts: (t) => 16 - 0.003 * t + 0.004 * random.gaussian(),
  amperes: (t) => 60 + 5 * Math.sin(t / 40) + 0.15 * random.gaussian(),
  celsius: (t) => 20 + 40 * (1 - Math.exp(-t / 500)) + 0.05 * random.gaussian(),
});

describe("the noise of a trace is found again", () => {
  const noise = noiseOf(noisy, 1000, 20, null);
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
    expect(noiseOf({ ...noisy, voltage }, 500, 20, null).voltage.deviation).toBeLessThan(0.0045);
  });

  test("is none for a channel that was not logged", () => {
    expect(noiseOf({ ...noisy, temperature: null }, 1000, 20, null).temperature).toEqual({
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
    return noiseOf(traceOf(time, { volts, amperes: () => 60 }), 1000, 20, null).voltage;
  };
  test("that stand still for many samples leave their step over sqrt 12 (JCGM 100, F.2.2.1; clause from memory)", () => {
    expect(stepped(0).resolution).toBeCloseTo(0.01 / Math.sqrt(12), 9);
  });
  // Worked by hand: V = V_sensed + 0.001 ohm I; a digit of 10 mV leaves 10 / sqrt 12 mV in it, and 60 A times that in the power.
  test("stay those of the readings where leads were corrected for, and in a power", () => {
    const draw = createRandom(9);
    const amperes = time.map(() => 60 + 0.1 * draw.gaussian());
    const sensed = time.map((t) => Math.round((16 - 0.003 * t) * 100) / 100);
    const voltage = sensed.map((volts, i) => volts + 0.001 * (amperes[i] as number));
    const noise = noiseOf({ time, voltage, current: amperes, temperature: null }, 1000, 20, 0.001);
    expect(noise.voltage.resolution).toBeCloseTo(0.01 / Math.sqrt(12), 9);
    expect(noise.power.resolution / ((60 * 0.01) / Math.sqrt(12))).toBeCloseTo(1, 3);
  });
  test("of the run's own readings go on into a translated trace", () => {
    const resolutions = { power: 0, voltage: 0.003, current: 0.04, temperature: 0 };
    const of = (channel: keyof typeof resolutions) => ({ deviation: 0, resolution: resolutions[channel], step: 0.01 });
    const own = {
      power: of("power"),
      voltage: of("voltage"),
      current: of("current"),
      temperature: of("temperature"),
      rateHz: 20,
    };
    const translated = traceOf(time, { volts: () => 15, amperes: () => 60 });
    const noise = translatedNoiseOf(translated, 1000, own, 0.1);
    // hypot(3, 0.1 x 40) mV; the load is a resistance of 0.25 ohm, whose current moves with its voltage: 2 I dV.
    expect(noise.voltage.resolution).toBeCloseTo(0.005, 12);
    expect(noise.current.resolution).toBeCloseTo(0.02, 12);
    expect(noise.power.resolution).toBeCloseTo(0.6, 9);
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
