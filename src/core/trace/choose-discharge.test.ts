import { describe, expect, test } from "@jest/globals";
import { channelsOf, instants, traceOf } from "../../../test/support/traces.js";
import { LogError } from "../table/log-error.js";
import { chooseDischarge } from "./choose-discharge.js";
import { stretchesOf } from "./stretches.js";

interface Load {
  readonly fromS: number;
  readonly toS: number;
  /** Discharge positive, A. */
  readonly amperes: number;
}

/** A log of 4 cells with these loads, 5 samples a second, whose voltage falls by 5 mohm and with the charge drawn. */
function logOf(toS: number, ...loads: readonly Load[]) {
  return logWith({}, toS, ...loads);
}

/** The same, read by a sensor that is off by `offsetA` and gives these wrong numbers, by sample. */
function logWith(
  { offsetA = 0, wrong = {} }: { offsetA?: number; wrong?: Readonly<Record<number, number>> },
  toS: number,
  ...loads: readonly Load[]
) {
  const at = (seconds: number) => loads.find(({ fromS, toS: end }) => seconds >= fromS && seconds < end)?.amperes ?? 0;
  const drawn = (seconds: number) =>
    loads.reduce((sum, { fromS, toS: end, amperes }) => sum + amperes * Math.max(0, Math.min(seconds, end) - fromS), 0);
  const read = (seconds: number) => wrong[Math.round(5 * seconds)] ?? at(seconds) + offsetA;
  return channelsOf(
    traceOf(instants(0, toS, 5), { volts: (t) => 16.8 - 0.005 * at(t) - drawn(t) / 20_000, amperes: read }),
  );
}

const refusal = (act: () => unknown): LogError => {
  try {
    act();
  } catch (error) {
    if (error instanceof LogError) return error;
    throw error;
  }
  throw new Error("it was not refused");
};
const spanOf = ({ time }: { time: Float64Array }) => [time[0], time[time.length - 1]];

describe("the stretches of a log", () => {
  // Closed form: 90 A for 60 s are 90 * 60 / 3.6 mAh, less what lies between the last loaded sample and the end of the load.
  test("are listed with start, length, direction, mean current and charge", () => {
    const { time, current } = logOf(200, { fromS: 10, toS: 70, amperes: 90 }, { fromS: 100, toS: 160, amperes: -20 });
    expect(stretchesOf(time, current)).toMatchObject([
      {
        direction: "discharge",
        startS: 10,
        lengthS: expect.closeTo(59.8, 9),
        meanA: expect.closeTo(90, 9),
        chargeMah: expect.closeTo(1495, 6),
      },
      { direction: "charge", startS: 100, lengthS: expect.closeTo(59.8, 9), meanA: expect.closeTo(20, 9) },
    ]);
  });

  test.each([
    [19, 0.4, 1],
    [19, 1, 2],
    [19, 2.2, 2],
  ])("go on over a pause after a trial: %d A, paused for %d s, are %d", (amperes, pauseS, count) => {
    const trial = { fromS: 5, toS: 6, amperes };
    const { time, current } = logOf(120, trial, { fromS: 6 + pauseS, toS: 100, amperes: 90 });
    expect(stretchesOf(time, current)).toHaveLength(count);
  });

  test("go on over a pause of less than two seconds", () => {
    const { time, current } = logOf(60, { fromS: 5, toS: 20, amperes: 90 }, { fromS: 21, toS: 40, amperes: 90 });
    expect(stretchesOf(time, current)).toHaveLength(1);
  });
});

describe("the run of a log", () => {
  const one = { fromS: 10, toS: 100, amperes: 90 };

  // What a current sensor gives for a moment, and what it reads at rest, is no load: the log with its rest is left whole.
  test.each([
    ["one sample of the wrong sign under load", { wrong: { 100: -327.68 } }],
    ["two samples of the wrong sign", { wrong: { 100: -327.68, 101: -300 } }],
    ["a sample of zero", { wrong: { 100: 0 } }],
    ["a spike at rest", { wrong: { 20: 95 } }],
    ["a spike at rest of the wrong sign", { wrong: { 20: -95 } }],
    ["a spike at the log's end", { wrong: { 600: -95 } }],
    ["an overflow under load", { wrong: { 100: 1e6 } }],
    ["a sensor that reads a tenth of the load at rest", { offsetA: 9 }],
    ["a sensor that reads a tenth of the load below zero", { offsetA: -9 }],
  ])("is the whole log with %s", (_, read) => {
    const channels = logWith(read, 120, one);
    expect(chooseDischarge(channels, 4, null)).toEqual({ channels, adjustments: [] });
  });

  test.each([9, -9])("is told from a second one by a sensor that reads %d A at rest", (offsetA) => {
    const channels = logWith({ offsetA }, 300, one, { fromS: 150, toS: 240, amperes: 90 });
    expect(refusal(() => chooseDischarge(channels, 4, null)).code).toBe("log-several-discharges");
  });

  test("is found after a charge with many times its current", () => {
    const { channels } = chooseDischarge(
      logOf(300, { fromS: 0, toS: 60, amperes: -100 }, { ...one, fromS: 80, amperes: 3 }),
      4,
      1,
    );
    expect(spanOf(channels)).toEqual([expect.closeTo(60, 9), 300]);
  });

  test("keeps the direction that the whole log tells", () => {
    const charged = { fromS: 0, toS: 5, amperes: -50 };
    const { channels } = chooseDischarge(logOf(120, charged, one), 4, null);
    expect(channels.dischargeSign).toBe(1);
  });

  test("is its only discharge, and the log is left as it is", () => {
    const channels = logOf(120, one);
    expect(chooseDischarge(channels, 4, null)).toEqual({ channels, adjustments: [] });
  });

  test.each([
    ["a short trial before it", { fromS: 2, toS: 4, amperes: 90 }, 4],
    ["a spin-up a second before it", { fromS: 8, toS: 9, amperes: 30 }, 9],
    ["a charge before it", { fromS: 0, toS: 6, amperes: -50 }, 6],
  ])("is read without %s, which is reported", (_, before, fromS) => {
    const { channels, adjustments } = chooseDischarge(logOf(120, before, one), 4, null);
    expect(spanOf(channels)).toEqual([expect.closeTo(fromS, 9), 120]);
    expect(adjustments).toMatchObject([{ kind: "loads-passed-over", before: 2, after: 1 }]);
    expect(adjustments[0]?.message).toContain("a discharge from 10.0 s, 89.8 s long");
  });

  // Spin-ups of 4 to 13 % of the load run into it; their currents, and those of a slow rise, are a discharge.
  test.each([0.06, 0.1, 0.13])("keeps rest and recovery beside a spin-up of %d of the load", (share) => {
    const channels = logOf(120, { fromS: 6, toS: 10, amperes: share * 90 }, one);
    const { adjustments, channels: kept } = chooseDischarge(channels, 4, null);
    expect(adjustments).toEqual([]);
    expect(spanOf(kept)).toEqual([0, 120]);
  });

  test("keeps rest and recovery beside a load that comes on in 30 s", () => {
    const rising = Array.from({ length: 60 }, (_, i) => ({ fromS: 5 + i / 2, toS: 5.5 + i / 2, amperes: 1.5 * i }));
    const channels = logOf(120, ...rising, { ...one, fromS: 35 });
    expect(chooseDischarge(channels, 4, null)).toEqual({ channels, adjustments: [] });
  });

  test("holds no charge where a log begins within a spin-up and nothing was charged", () => {
    const channels = logOf(120, { fromS: 0, toS: 10, amperes: 9 }, one);
    expect(chooseDischarge(channels, 4, null)).toEqual({ channels, adjustments: [] });
  });

  test("is read without a charge after it", () => {
    const { channels } = chooseDischarge(logOf(300, one, { fromS: 120, toS: 280, amperes: -50 }), 4, null);
    expect(spanOf(channels)).toEqual([0, expect.closeTo(119.8, 9)]);
  });

  test("is asked for where a second discharge drew a tenth of the first one's charge, with the list", () => {
    const second = { fromS: 150, toS: 160, amperes: 90 };
    const error = refusal(() => chooseDischarge(logOf(200, one, second), 4, null));
    expect(error.code).toBe("log-several-discharges");
    expect(error.message).toContain("2: a discharge from 150.0 s, 9.8 s long, 90.0 A on average, 245 mAh");
    expect(error.places.map(({ line }) => line)).toEqual([52, 752]);
    const chosen = chooseDischarge(logOf(200, one, second), 4, 2);
    expect(spanOf(chosen.channels)).toEqual([expect.closeTo(100, 9), 200]);
    expect(chosen.adjustments[0]?.message).toContain("which was asked for");
  });

  test("is refused where there is no such discharge", () => {
    expect(refusal(() => chooseDischarge(logOf(120, one), 4, 3)).message).toContain("the log holds 1: 1: a discharge");
  });
});
