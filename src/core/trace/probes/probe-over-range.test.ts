import { describe, expect, test } from "@jest/globals";
import { createRandom } from "../../../../seed/simulator/random.js";
import { FACTS } from "../../../../test/support/facts.js";
import { channelsOf, instants, traceOf } from "../../../../test/support/traces.js";
import type { LogChannels } from "../../channels/read-log.js";
import { LogError } from "../../table/log-error.js";
import { normalise } from "../normalise.js";

const LIMITS = { cutoffVolts: 13.2, series: 4, temperatureLimitC: 60 };
const BENCH = { ...FACTS.bench, load: { kind: "constant-current" as const } };
const TIME = instants(-5, 130, 5);
const inDigits = (value: number, digit: number) => Number((Math.round(value / digit) * digit).toFixed(6));
/** 20 degC at rest, and 0.35 K/s under load. */
const heating = (t: number) => 20 + 0.35 * Math.max(0, Math.min(t, 120));

/** A load of 100 A from 0 to 120 s, `easedA` from `easedFromS` on. */
function logged(celsius: (t: number) => number, easedFromS = Number.POSITIVE_INFINITY, easedA = 25): LogChannels {
  const isLoaded = (t: number) => t >= 0 && t <= 120;
  const trace = traceOf(TIME, {
    volts: (t) => (isLoaded(t) ? 15 - 0.015 * t : 16.7),
    amperes: (t) => (isLoaded(t) ? (t < easedFromS ? 100 : easedA) : 0),
    celsius,
  });
  return channelsOf(trace);
}

/** What the log is refused with; null where it is read. */
function refusal(channels: LogChannels): string | null {
  try {
    normalise(channels, FACTS.pack, BENCH, LIMITS);
    return null;
  } catch (error) {
    if (error instanceof LogError) return `${error.code} ${error.message}`;
    throw error;
  }
}

describe("a log is refused with the end of the probe's range", () => {
  test.each([
    [50, 0.1, 0],
    [50, 0.5, 0],
    [45, 1, 0.05],
    [50, 0.1, 0.3],
    [31.9375, 0.0625, 0.05],
  ])("at %d degC, in digits of %d K, with noise of %d K", (end, digit, noise) => {
    const random = createRandom(3);
    const said = refusal(logged((t) => inDigits(Math.min(end, heating(t) + noise * random.gaussian()), digit)));
    expect(said).toMatch(
      new RegExp(
        `^log-over-range The temperature stands at ${end} degC, its largest number, to the end of the load, for \\d+`,
      ),
    );
    expect(said).toMatch(/while its course before would have taken it [\d.]+ K higher/);
    expect(said).toContain(
      'To have the electrical figures of this run alone, upload the log with the column map {"temperature":null}.',
    );
  });

  test("of the one probe of several that has it, also where another one reads more", () => {
    const channels = logged((t) => inDigits(heating(t) + 1, 0.1));
    const short = TIME.map((t) => inDigits(Math.min(48, heating(t)), 0.1));
    expect(refusal({ ...channels, temperatures: [...channels.temperatures, short] })).toContain(
      "The temperature of probe 2 of 2 stands at 48 degC",
    );
  });

  test("where the load is eased to 85 A, which goes on heating the pack", () => {
    expect(refusal(logged((t) => inDigits(Math.min(heating(t), heating(60)), 0.1), 60, 85))).toContain(
      "stands at 41 degC",
    );
  });

  test("where the probe reads in every tenth row", () => {
    const channels = logged((t) => inDigits(Math.min(45, heating(t)), 0.1));
    const seldom = TIME.map((_, i) => (i % 10 === 0 ? (channels.temperatures[0]?.[i] as number) : Number.NaN));
    expect(refusal({ ...channels, temperatures: [seldom] })).toContain("stands at 45 degC");
  });
});

describe("a log is read", () => {
  test.each([0.01, 0.1, 1, 2])("whose probe goes on rising, in digits of %d K", (digit) => {
    expect(refusal(logged((t) => inDigits(heating(t), digit)))).toBeNull();
  });

  test.each([0.01, 0.1, 1, 2])("whose pack comes to its equilibrium, in digits of %d K", (digit) => {
    expect(refusal(logged((t) => inDigits(20 + 25 * (1 - Math.exp(-Math.max(0, t) / 12)), digit)))).toBeNull();
  });

  test.each([25, 65])("whose load is eased to %d A, so that the pack gets no hotter", (easedA) => {
    expect(refusal(logged((t) => inDigits(Math.min(heating(t), heating(60)), 0.1), 60, easedA))).toBeNull();
  });

  test("whose temperature falls once the load is off, as a pack in wind does", () => {
    const cooled = (t: number) => Math.min(50, heating(t)) - 0.2 * Math.max(0, t - 120);
    expect(refusal(logged((t) => inDigits(cooled(t), 0.1)))).toBeNull();
  });

  test("whose rows were filled in between readings, and with the last reading after it", () => {
    const read = (t: number) => heating(30 * Math.floor((t + 7) / 30) - 7);
    const filledIn = (t: number) => (t > 112 ? read(113) : read(t) + ((read(t + 30) - read(t)) * ((t + 7) % 30)) / 30);
    expect(refusal(logged((t) => (t < -7 ? 20 : filledIn(t))))).toBeNull();
  });

  test("whose probe lies in air of one temperature", () => {
    expect(refusal(logged(() => 21))).toBeNull();
  });
});
