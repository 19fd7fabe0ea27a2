import { describe, expect, test } from "@jest/globals";
import { channelsOf, instants } from "../../../test/support/traces.js";
import { joinRates } from "./joined-rates.js";

const time = instants(0, 100, 10);
const voltage = time.map((t) => 16 - 0.01 * t);
const current = time.map((t) => 50 + t);
const every = (values: Float64Array, rows: number, from = 0) =>
  values.map((value, row) => (row % rows === from ? value : Number.NaN));
const join = (volts: Float64Array, amperes: Float64Array, celsius: Float64Array | null = null) =>
  joinRates(channelsOf({ time, voltage: volts, current: amperes, temperature: celsius }));

describe("voltage and current at rates of their own", () => {
  test("are read where the slower one is, the faster one as it was logged there", () => {
    const { channels, adjustments } = join(every(voltage, 10), current);
    expect(channels.time).toEqual(time.filter((_, row) => row % 10 === 0));
    expect(channels.voltage).toEqual(voltage.filter((_, row) => row % 10 === 0));
    expect(channels.current).toEqual(current.filter((_, row) => row % 10 === 0));
    expect(channels.lines[1]).toBe(12);
    expect(channels.joined).toBeNull();
    expect(adjustments).toMatchObject([
      {
        kind: "rates-joined",
        message:
          "The log has a voltage every 1 s and a current every 0.1 s, with empty cells between. The readings of the voltage were taken as samples, the current on the line between its own. Log both in each row for the rate of the faster one.",
        before: 1001,
        after: 101,
      },
    ]);
  });

  test("are read in turns, the current on the line between its readings, whose noise that hides by the root of 6", () => {
    const { channels } = join(every(voltage, 2), every(current, 2, 1));
    const expected = time.filter((t, row) => row % 2 === 0 && t > 0 && t < 100);
    expect(channels.time).toEqual(expected);
    expected.forEach((t, at) => {
      expect(channels.current[at]).toBeCloseTo(50 + t, 9);
    });
    expect(channels.joined).toMatchObject({ channel: "current", hiddenNoise: expect.closeTo(Math.sqrt(6), 1) });
    expect(channels.joined?.intervalS).toBeCloseTo(0.2, 9);
  });

  test("keep each reading of the temperature in the row nearest to it", () => {
    const celsius = every(
      time.map((t) => 25 + t / 10),
      100,
      3,
    );
    const { channels } = join(every(voltage, 10), current, celsius);
    const [probe = new Float64Array(0)] = channels.temperatures;
    expect(probe.filter((value) => !Number.isNaN(value))).toEqual(celsius.filter((value) => !Number.isNaN(value)));
    expect(probe[0]).toBe(celsius[3]);
  });

  test("carry a mark for beyond the range into the samples beside it", () => {
    const marked = every(current, 2, 1).map((amperes, row) => (row === 501 ? Number.POSITIVE_INFINITY : amperes));
    const { channels } = join(every(voltage, 2), marked);
    expect(channels.current.filter((amperes) => amperes === Number.POSITIVE_INFINITY).length).toBe(2);
  });

  test("leave a gap where the faster one has one", () => {
    const { channels } = join(
      every(voltage, 10),
      current.map((amperes, row) => (row > 495 && row < 565 ? Number.NaN : amperes)),
    );
    expect(channels.current.filter(Number.isNaN).length).toBe(7);
  });
});

describe("a log is left as it is", () => {
  const isLeft = (volts: Float64Array, amperes: Float64Array) => {
    const { channels, adjustments } = join(volts, amperes);
    expect(channels.time).toBe(time);
    expect(adjustments).toEqual([]);
  };

  test("with both in each row", () => isLeft(voltage, current));
  test("with a loose connection", () =>
    isLeft(
      voltage,
      current.map((amperes, row) => (row % 7 === 3 || row % 11 === 5 ? Number.NaN : amperes)),
    ));
  test("with a current that comes at no regular times", () =>
    isLeft(
      voltage,
      current.map((amperes, row) => ((row * row) % 13 < 4 ? amperes : Number.NaN)),
    ));
  test("with a current in fewer than 20 rows", () => isLeft(voltage, every(current, 60)));
});
