import { describe, expect, test } from "@jest/globals";
import { createRandom } from "../../../../seed/simulator/random.js";
import { instants } from "../../../../test/support/traces.js";
import { repeatedReadings } from "./repeated-readings.js";

const time = instants(0, 120, 10);
const whole = { from: 0, to: time.length };
const channel = (at: (t: number) => number, step: number) => time.map((t) => Math.round(at(t) / step) * step);
/** A discharge: steep at first, flat for long, and a knee. */
const sag = (t: number) => 16 - 0.4 * (1 - Math.exp(-t / 4)) - 0.006 * t - 0.9 * Math.exp((t - 120) / 6);
const held =
  (at: (t: number) => number, seconds: number, phase = 0.05) =>
  (t: number) =>
    at(Math.floor((t - phase) / seconds) * seconds + phase);

// docs/definitions.md, 2a.
describe("a meter that is polled more often than it reads", () => {
  test.each([0.2, 0.25, 0.5, 1, 1.3, 2])("every %d s is told by its readings", (seconds) => {
    const found = repeatedReadings(time, channel(held(sag, seconds), 0.001), whole);
    expect(found?.intervalS).toBeCloseTo(seconds, 1);
    const every = Array.from(
      found?.first.subarray(1) ?? [],
      (at, k) => (time[at] as number) - (time[found?.first[k] ?? 0] as number),
    );
    expect(Math.max(...every)).toBeLessThan(seconds + 0.11);
    expect(Math.min(...every)).toBeGreaterThan(seconds - 0.11);
  });

  test("is told also where two readings in a row come out alike", () => {
    const found = repeatedReadings(time, channel(held(sag, 1), 0.01), whole);
    expect(found?.intervalS).toBeCloseTo(1, 2);
    expect(found?.first.length).toBeGreaterThan(117);
  });
});

describe("each row has a reading of its own", () => {
  test.each([0.001, 0.002, 0.005, 0.01, 0.02, 0.05, 0.1])("in a slow channel with digits of %d V", (step) => {
    expect(repeatedReadings(time, channel(sag, step), whole)).toBeNull();
  });

  test.each([0.0014, 0.0019, 0.0033, 0.0146])("in one whose converter steps by %d V and is written in mV", (code) => {
    const read = channel(sag, code).map((volts) => Math.round(volts * 1000) / 1000);
    expect(repeatedReadings(time, read, whole)).toBeNull();
  });

  test("in one that falls evenly and then over a knee", () => {
    const even = (t: number) => 16 - 0.066 * t - (t > 110 ? 0.02 * (t - 110) ** 2 : 0);
    for (const step of [0.01, 0.02, 0.03, 0.05]) {
      expect(repeatedReadings(time, channel(even, step), whole)).toBeNull();
    }
  });

  test("in a current that an electronic load holds, with or without a digit that flickers", () => {
    const steady = time.map(() => 60);
    expect(repeatedReadings(time, steady, whole)).toBeNull();
    // Beats of a ripple with the rows, and none.
    for (const radians of [12.9898, 0.7, 78.233]) {
      const flickering = time.map((_, i) => (Math.sin(radians * i) > 0.8 ? 60.1 : 60));
      expect(repeatedReadings(time, flickering, whole)).toBeNull();
    }
    const random = createRandom(5);
    const restless = time.map(() => (random.uniform() > 0.9 ? 60.1 : 60));
    expect(repeatedReadings(time, restless, whole)).toBeNull();
  });

  test("in a current that was set anew a few times", () => {
    const stepped = time.map((t) => 60 + 10 * Math.floor(t / 20));
    expect(repeatedReadings(time, stepped, whole)).toBeNull();
  });
});
