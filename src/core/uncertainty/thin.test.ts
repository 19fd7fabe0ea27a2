import { expect, test } from "@jest/globals";
import { instants, traceOf } from "../../../test/support/traces.js";
import { thinned } from "./thin.js";

const trace = traceOf(instants(0, 999.9, 10), {
  volts: (t) => 16 - t / 500,
  amperes: () => 60,
  celsius: (t) => 20 + t / 50,
});

test("a trace of no more samples than wanted stays as it is", () => expect(thinned(trace, 10_000)).toBe(trace));

test("a longer one is thinned to the means of neighbours, which stay on a line that they were on", () => {
  const thin = thinned(trace, 4000);
  expect(thin.time.length).toBe(3333);
  thin.time.forEach((t, i) => {
    expect(thin.voltage[i]).toBeCloseTo(16 - t / 500, 9);
    expect(thin.temperature?.[i]).toBeCloseTo(20 + t / 50, 9);
  });
  expect(thinned({ ...trace, temperature: null }, 4000).temperature).toBeNull();
});
