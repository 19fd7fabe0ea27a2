import { describe, expect, test } from "@jest/globals";
import { createRandom } from "../../../seed/simulator/random.js";
import { FACTS } from "../../../test/support/facts.js";
import { channelsOf, instants, traceOf } from "../../../test/support/traces.js";
import type { LoadKind, Trace } from "../model.js";
import { LogError } from "../table/log-error.js";
import { normalise } from "./normalise.js";

const LIMITS = { cutoffVolts: 13.2, series: 4, temperatureLimitC: 60 };
const inDigits = (value: number, digit: number) => Math.round(value / digit) * digit;

interface Bench {
  readonly noiseA?: number;
  readonly digitA?: number;
  readonly digitV?: number;
}

/** A pack that falls from 15 to 13 V under a throttle, or a load that holds 100 A, as a bench with noise reads it. */
function read(kind: LoadKind, { noiseA = 0.05, digitA = 0.01, digitV = 0.001 }: Bench = {}): Trace {
  const random = createRandom(11);
  const falling = (t: number) => (t < 0 || t > 102 ? 16.7 : 15 - 0.018 * t);
  const load = (t: number) => (t < 0 || t > 102 ? 0 : kind === "constant-current" ? 100 : 100 * (falling(t) / 15));
  return traceOf(instants(-5, 110, 10), {
    volts: (t) => inDigits(falling(t) + 0.004 * random.gaussian(), digitV),
    amperes: (t) => inDigits(load(t) + noiseA * random.gaussian(), digitA),
  });
}

/** What the log is refused with; null where it is read. */
function refusal(trace: Trace, kind: LoadKind): string | null {
  const bench = { ...FACTS.bench, load: { kind } };
  try {
    normalise(channelsOf(trace), FACTS.pack, bench, LIMITS);
    return null;
  } catch (error) {
    if (error instanceof LogError) return `${error.code} ${error.message}`;
    throw error;
  }
}

const currentUpTo = (most: number, trace: Trace): Trace => ({
  ...trace,
  current: trace.current.map((amperes) => Math.min(amperes, most)),
});
const voltageWithin = (least: number, most: number, trace: Trace): Trace => ({
  ...trace,
  voltage: trace.voltage.map((volts) => Math.max(least, Math.min(most, volts))),
});

describe("a log is refused with the end of the range", () => {
  test.each([60, 90, 95, 99])("where the current of a throttle reads no more than %d A", (most) => {
    const said = refusal(currentUpTo(most, read("throttle")), "throttle");
    expect(said).toMatch(new RegExp(`^log-over-range The current stands at ${most} A, its largest number, in \\d+ of`));
    expect(said).toContain("Set a wider range and test again.");
  });

  test("where the current of a throttle steps back by a digit now and then", () => {
    const trace = currentUpTo(90, read("throttle"));
    const current = trace.current.map((amperes, i) => (amperes === 90 && i % 5 === 0 ? 89.99 : amperes));
    expect(refusal({ ...trace, current }, "throttle")).toContain("log-over-range The current");
  });

  test.each(["throttle", "constant-current"] as const)(
    "where the voltage reads no more, or no less, under %s",
    (kind) => {
      expect(refusal(voltageWithin(0, 14.5, read(kind)), kind)).toContain("The voltage stands at 14.5 V, its largest");
      expect(refusal(voltageWithin(13.6, 20, read(kind)), kind)).toContain(
        "The voltage stands at 13.6 V, its smallest",
      );
    },
  );
});

describe("a log is read", () => {
  test.each(["throttle", "constant-current"] as const)("that has its whole range, under %s", (kind) => {
    expect(refusal(read(kind), kind)).toBeNull();
  });

  test.each([1, 5])("whose current has digits of %d A", (digitA) => {
    expect(refusal(read("throttle", { digitA }), "throttle")).toBeNull();
    expect(refusal(read("constant-current", { digitA }), "constant-current")).toBeNull();
  });

  test("whose voltage has digits of 0.1 V", () => {
    expect(refusal(read("throttle", { digitV: 0.1 }), "throttle")).toBeNull();
  });

  test("whose load holds its current to the digit, and whose sensor has no noise", () => {
    expect(refusal(read("constant-current", { noiseA: 0 }), "constant-current")).toBeNull();
  });

  test("whose load holds its current within one digit, while the rest shows noise", () => {
    const random = createRandom(12);
    const current = read("constant-current").current.map((amperes) =>
      inDigits(amperes > 50 ? 100 : 0.03 * random.gaussian(), 0.01),
    );
    expect(refusal({ ...read("constant-current"), current }, "constant-current")).toBeNull();
  });

  test("whose current stands on its largest number for as long as the voltage stands", () => {
    const random = createRandom(13);
    const falling = (t: number) => (t < 60 ? 14 : 14 - 0.02 * (t - 60));
    const isLoaded = (t: number) => t >= 0 && t <= 102;
    const trace = traceOf(instants(-5, 110, 10), {
      volts: (t) => inDigits((isLoaded(t) ? falling(t) : 16.7) + 0.001 * random.gaussian(), 0.001),
      amperes: (t) => inDigits((isLoaded(t) ? 6 * falling(t) : 0.005) + 0.001 * random.gaussian(), 0.01),
    });
    expect(refusal(trace, "throttle")).toBeNull();
  });
});
