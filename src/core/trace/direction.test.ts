import { describe, expect, test } from "@jest/globals";
import { channelsOf, instants, traceOf } from "../../../test/support/traces.js";
import { dischargeSign } from "./direction.js";
import { toSamples } from "./samples.js";

// docs/definitions.md, 4: a pack's voltage falls when discharge grows and rises when charge does (Ohm's law on a source with a positive
// resistance). A source of 16.8 V behind 20 mohm that loses 0.4 V an Ah; `amperes` counts discharge as positive.
const OHM = 0.02;
const VOLTS_PER_AH = 0.4;

function logOf(seconds: number, rateHz: number, amperes: (t: number) => number, noiseVolts = 0.002) {
  const time = instants(0, seconds, rateHz);
  let drawnAh = 0;
  const current = time.map(amperes);
  const voltage = time.map((_, i) => {
    drawnAh += (current[i] as number) / rateHz / 3600;
    // Noise without chance: irrational steps.
    const noise = noiseVolts * (2 * ((i * 0.7548776662) % 1) - 1);
    return 16.8 - VOLTS_PER_AH * drawnAh - OHM * (current[i] as number) + noise;
  });
  return { time, voltage, current };
}
const signOf = ({ time, voltage, current }: ReturnType<typeof logOf>, sign: 1 | -1 = 1) =>
  dischargeSign(
    time,
    voltage,
    current.map((amperes) => sign * amperes),
  );
const within = (t: number, from: number, to: number) => t >= from && t < to;

describe.each([1, -1] as const)("a log that counts discharge with the sign %d is read so", (sign) => {
  test.each<[string, ReturnType<typeof logOf>]>([
    ["under one load", logOf(100, 10, (t) => (within(t, 5, 90) ? 100 : 0))],
    [
      "with an equal recharge after the discharge",
      logOf(600, 5, (t) => (within(t, 5, 205) ? 50 : within(t, 300, 500) ? -50.1 : 0)),
    ],
    [
      "with a charge of the larger current before it",
      logOf(900, 2, (t) => (within(t, 5, 300) ? -60 : within(t, 600, 880) ? 40 : 0)),
    ],
    [
      "with a long slow charge before it",
      logOf(4000, 1, (t) => (within(t, 5, 3600) ? -5 : within(t, 3800, 3990) ? 80 : 0)),
    ],
    ["with regenerative blips", logOf(200, 20, (t) => (within(t, 5, 190) ? (t % 10 < 0.5 ? -120 : 60) : 0))],
    ["beginning and ending under a steady load", logOf(200, 5, () => 60)],
    ["beginning and ending under a resistance", logOf(300, 5, (t) => 60 - t / 30)],
    ["at 0.2 It in steps of 5 s", logOf(5 * 3600, 0.2, (t) => (within(t, 40, 17_900) ? 1 : 0))],
    ["with two small pulses", logOf(16, 10, (t) => (within(t, 2, 12) ? 1 : within(t, 12, 13.2) ? 5 : 0))],
    ["with a constant offset of the sensor", logOf(100, 10, (t) => (within(t, 5, 90) ? 100 : 0) - 3)],
  ])("%s", (_, log) => expect(signOf(log, sign)).toBe(sign));

  test("with rows of zeros that a loose plug wrote", () => {
    const log = logOf(100, 10, (t) => (within(t, 5, 90) ? 100 : 0));
    for (const i of [300, 301, 302, 500, 501]) [log.voltage[i], log.current[i]] = [0, 0];
    expect(signOf(log, sign)).toBe(sign);
  });
});

describe("the direction is not guessed", () => {
  test.each<[string, ReturnType<typeof logOf>]>([
    [
      "where the voltage stands still",
      { ...logOf(100, 10, (t) => (t < 5 ? 0 : 100)), voltage: new Float64Array(1001).fill(15) },
    ],
    [
      "where the voltage answers neither way",
      { ...logOf(100, 10, (t) => (t < 5 ? 0 : 100)), voltage: logOf(100, 10, () => 0).voltage },
    ],
  ])("%s", (_, log) => expect(signOf(log)).toBeNull());

  test("but where no current flows there is nothing to tell", () => {
    expect(signOf(logOf(100, 10, () => 0))).toBe(1);
  });

  test("it is refused with the remedy, and taken as the map says", () => {
    const trace = traceOf(instants(0, 60, 10), { volts: () => 15, amperes: (t) => (t < 5 ? 0 : -50) });
    expect(() => toSamples(channelsOf(trace), 4)).toThrow(
      expect.objectContaining({ code: "log-direction-unknown", message: expect.stringContaining('"sign"') }),
    );
    const said = toSamples(channelsOf(trace, { dischargeSign: -1 }), 4);
    expect([said.turned, said.current[100]]).toEqual([true, 50]);
    expect(toSamples(channelsOf(trace, { dischargeSign: 1 }), 4).turned).toBe(false);
  });
});
