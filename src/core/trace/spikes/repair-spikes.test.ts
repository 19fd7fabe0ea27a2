import { describe, expect, test } from "@jest/globals";
import fc from "fast-check";
import { channelsOf, instants, traceOf } from "../../../../test/support/traces.js";
import type { Trace } from "../../model.js";
import { findOnset, type Onset } from "../onset.js";
import { toSamples } from "../samples.js";
import { repairSpikes } from "./repair-spikes.js";

/** What the pack of these logs answers a load with, ohm. */
const OHM = 0.02;
const LOAD_A = 100;

interface Course {
  readonly rateHz?: number;
  readonly amperes?: (seconds: number) => number;
  readonly noise?: (i: number) => number;
  readonly digits?: { readonly volts: number; readonly amperes: number } | undefined;
}

/** 3 s of rest, then a load for 60 s, of a pack of 16.8 V behind a resistance. */
function logged({ rateHz = 20, amperes = () => LOAD_A, noise = () => 0, digits }: Course = {}): Trace {
  const current = (t: number) => (t < 3 || t > 63 ? 0 : amperes(t));
  const trace = traceOf(instants(0, 66, rateHz), {
    volts: (t) => 16.8 - 0.02 * Math.max(0, t - 3) - OHM * current(t),
    amperes: current,
    celsius: (t) => 22 + 0.3 * t,
  });
  const round = (value: number, step: number | undefined) => (step ? Math.round(value / step) * step : value);
  return {
    ...trace,
    voltage: trace.voltage.map((volts, i) => round(volts + 0.004 * noise(3 * i), digits?.volts)),
    current: trace.current.map((amps, i) => round(amps + 0.3 * noise(3 * i + 1), digits?.amperes)),
    temperature: trace.temperature?.map((celsius, i) => celsius + 0.1 * noise(3 * i + 2)) ?? null,
  };
}

type Channel = "voltage" | "current" | "temperature";

function spiked(trace: Trace, spikes: readonly (readonly [i: number, channel: Channel, value: number])[]): Trace {
  for (const [i, channel, value] of spikes) (trace[channel] as Float64Array)[i] = value;
  return trace;
}

function mend(trace: Trace) {
  const samples = toSamples(channelsOf(trace), 4);
  const whole = { from: 0, to: samples.time.length };
  return repairSpikes(samples, findOnset(samples.time, samples.current) as Onset, whole);
}

describe("a spike of one sample is put on the line between its neighbours", () => {
  test.each([
    ["voltage", 400, 30],
    ["voltage", 400, 0],
    ["voltage", 20, 25],
    ["current", 400, 300],
    ["current", 400, 0],
    ["current", 400, -327.68],
    ["current", 20, 90],
    ["temperature", 400, 85],
    ["temperature", 400, 0],
  ] as const)("%s, sample %d: %d", (channel, i, value) => {
    const honest = mend(logged()).samples;
    const { samples, spikes } = mend(spiked(logged(), [[i, channel, value]]));
    for (const each of ["voltage", "current", "temperature"] as const)
      for (const [j, got] of samples[each]?.entries() ?? []) expect(got).toBeCloseTo(honest[each]?.[j] as number, 9);
    expect(spikes.repaired).toEqual([
      expect.objectContaining({ channel, spikes: { count: 1, first: { line: i + 2 } }, before: value }),
    ]);
    expect(spikes.left.count).toBe(0);
  });

  test("a row of zeros is one spike in each channel", () => {
    const zeros = spiked(logged(), [
      [400, "voltage", 0],
      [400, "current", 0],
      [400, "temperature", 0],
    ]);
    expect(mend(zeros).spikes.repaired.map(({ channel }) => channel)).toEqual(["voltage", "current", "temperature"]);
  });
});

describe("spikes beyond the limit stay, and are counted", () => {
  const at = (...places: number[]) => places.map((i) => [i, "voltage", 0] as const);

  test.each([
    ["one in any log", 20, at(400), 1, 0],
    ["two in fewer than 2000 samples", 20, at(400, 600), 0, 2],
    ["three in more than 3000 samples", 50, at(400, 600, 800), 3, 0],
    ["four in fewer than 4000 samples", 50, at(400, 600, 800, 1000), 0, 4],
    ["two in a row", 50, at(400, 401), 0, 2],
    ["three in a row beside a single one", 50, at(400, 401, 402, 600), 1, 3],
  ] as const)("%s", (_, rateHz, spikes, repaired, left) => {
    const result = mend(spiked(logged({ rateHz }), spikes)).spikes;
    expect(result.repaired[0]?.spikes.count ?? 0).toBe(repaired);
    expect(result.left.count).toBe(left);
  });
});

describe("left to the last bit is", () => {
  const untouched = (trace: Trace) => {
    const { samples, spikes } = mend(trace);
    expect(spikes).toEqual({ repaired: [], left: { count: 0, first: null } });
    expect(samples.voltage).toBe(trace.voltage);
    expect(samples.temperature).toBe(trace.temperature);
    expect(samples.current).toEqual(trace.current);
  };
  const noises = fc
    .array(fc.tuple(fc.double({ min: 1e-9, max: 1, noNaN: true }), fc.double({ min: 0, max: 1, noNaN: true })), {
      minLength: 64,
      maxLength: 64,
    })
    // Box and Muller's transformation: from uniform numbers to normal ones.
    .map((pairs) => pairs.map(([u, v]) => Math.sqrt(-2 * Math.log(u)) * Math.cos(2 * Math.PI * v)))
    .map((drawn) => (i: number) => drawn[(i * 37 + (i >> 6) * 11) % 64] as number);
  const rates = fc.constantFrom(5, 10, 20, 50);
  const digits = fc.constantFrom(undefined, { volts: 0.001, amperes: 0.01 }, { volts: 0.1, amperes: 1 });

  test("a log with noise and digits, whatever the load does", () => {
    const throttles = fc.array(
      fc.record({
        from: fc.double({ min: 3.5, max: 60, noNaN: true }),
        seconds: fc.double({ min: 0.01, max: 5, noNaN: true }),
        share: fc.double({ min: 0, max: 2, noNaN: true }),
      }),
      { maxLength: 30 },
    );
    fc.assert(
      fc.property(rates, noises, digits, throttles, (rateHz, noise, digits, blips) => {
        const amperes = (t: number) =>
          LOAD_A * (blips.find(({ from, seconds }) => t >= from && t < from + seconds)?.share ?? 1);
        untouched(logged({ rateHz, noise, digits, amperes }));
      }),
      { numRuns: 300 },
    );
  });

  test("a blip of one sample, seen by the voltage's sensor one sample earlier or later", () => {
    fc.assert(
      fc.property(
        rates,
        noises,
        fc.double({ min: -1, max: 1.5, noNaN: true }),
        fc.integer({ min: -1, max: 1 }),
        (rateHz, noise, share, lag) => {
          const i = 20 * rateHz;
          const trace = logged({ rateHz, noise });
          const [volts, amps] = [trace.voltage[i + lag] as number, trace.current[i] as number];
          const blip = share * LOAD_A;
          untouched(
            spiked(trace, [
              [i, "current", amps + blip],
              [i + lag, "voltage", volts - OHM * blip],
            ]),
          );
        },
      ),
      { numRuns: 300 },
    );
  });

  test("a small current in coarse digits, whose answer the voltage's digits hide", () => {
    const digits = { volts: 0.1, amperes: 1 };
    untouched(logged({ digits, amperes: (t) => (Math.abs(t - 20) < 0.02 ? 0 : 2) }));
  });

  test("a peak of power at the onset that lasts for one sample", () => {
    untouched(logged({ amperes: (t) => (t < 3.04 ? 180 : LOAD_A) }));
  });

  test("what the log does not let be told: no rest before the load", () => {
    const trace = logged();
    const from = trace.time.findIndex((t) => t > 3.5);
    const cut: Trace = {
      time: trace.time.slice(from),
      voltage: trace.voltage.slice(from),
      current: trace.current.slice(from),
      temperature: trace.temperature?.slice(from) ?? null,
    };
    untouched(spiked(cut, [[400, "voltage", 0]]));
  });
});
