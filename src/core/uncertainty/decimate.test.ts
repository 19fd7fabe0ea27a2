import { expect, test } from "@jest/globals";
import { instants, traceOf } from "../../../test/support/traces.js";
import { decimate, evenOddSplit } from "./decimate.js";

const trace = traceOf(instants(0, 999.9, 10), {
  volts: (t) => 16 - t / 500,
  amperes: () => 60,
  celsius: (t) => 20 + t / 50,
});

test("a trace of no more samples than wanted stays as it is", () => expect(decimate(trace, 10_000)).toBe(trace));

test("a longer one is decimate to the means of neighbours, which stay on a line that they were on", () => {
  const thin = decimate(trace, 4000);
  expect(thin.time.length).toBe(3334);
  thin.time.forEach((t, i) => {
    expect(thin.voltage[i]).toBeCloseTo(16 - t / 500, 9);
    expect(thin.temperature?.[i]).toBeCloseTo(20 + t / 50, 9);
  });
  expect(decimate({ ...trace, temperature: null }, 4000).temperature).toBeNull();
});

test("no mean is of samples on both sides of a boundary", () => {
  for (const boundary of [5000, 5001, 5002]) {
    const jumping = { ...trace, current: trace.current.map((_, i) => (i < boundary ? 1 : 0)) };
    expect(new Set(decimate(jumping, 4000, boundary).current)).toEqual(new Set([1, 0]));
  }
});

test("evenOddSplit hold every sample once, in turn", () => {
  const [even, odd] = evenOddSplit({ ...trace, temperature: null });
  expect([...even.time.subarray(0, 3), ...odd.time.subarray(0, 3)]).toEqual(
    [0, 2, 4, 1, 3, 5].map((place) => trace.time[place]),
  );
  expect(even.time.length + odd.time.length).toBe(trace.time.length);
  expect(odd.temperature).toBeNull();
});
