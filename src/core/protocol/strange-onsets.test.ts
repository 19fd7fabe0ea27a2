import { readFileSync } from "node:fs";
import { describe, expect, test } from "@jest/globals";
import { randomOf } from "../../../test/cross-checks/simulator/random.js";
import { evaluate } from "../evaluate.js";
import type { Finding } from "../model.js";
import { blocks } from "./conformance.js";
import { FULL_LOAD_1 } from "./documents/full-load-1.js";

const FACTS = JSON.parse(
  readFileSync(new URL("../../../test/cross-checks/fixtures/plain-20hz.meta.json", import.meta.url), "utf8"),
);
const RATE_HZ = 10;
const LOAD_OHM = 0.16;
const CHARGE_AS = 5 * 3600;
const PACK_OHM = 0.012;

/**
 * A log of a 4S pack under a load that draws a share of its full current, and after the cutoff nothing.
 *
 * @param share of the full load at an instant, s from the log's first sample
 * @param header of the column of time, and what it reads at an instant
 */
function logOf(
  share: (t: number) => number,
  { header = "Time [s]", timeOf = (t: number) => t.toFixed(1) } = {},
): Buffer {
  const random = randomOf("strange onsets");
  const rows = [`${header},Voltage [V],Current [A],Temperature [degC]`];
  let [q, end] = [0, Number.POSITIVE_INFINITY];
  for (let n = 0; n / RATE_HZ < end + 15; n++) {
    const t = n / RATE_HZ;
    const z = q / CHARGE_AS;
    const source = 16.72 - 2.2 * z - 2.4 * z ** 12;
    const asked = t < end ? share(t) : 0;
    const amps = (asked * source) / (LOAD_OHM + asked * PACK_OHM);
    const volts = source - PACK_OHM * amps;
    if (volts < 13.2) end = Math.min(end, t + 1);
    q += amps / RATE_HZ;
    const noise = (size: number) => size * random.normal();
    rows.push(
      [
        timeOf(t),
        (volts + noise(0.005)).toFixed(3),
        (amps + noise(0.05)).toFixed(2),
        (22 + 25 * z + noise(0.1)).toFixed(1),
      ].join(","),
    );
  }
  return Buffer.from(`${rows.join("\n")}\n`);
}

const evaluated = async (log: Buffer) => (await evaluate([log], FACTS, FULL_LOAD_1)).evaluation;

/** The findings that keep a run from conforming. */
async function blocking(log: Buffer): Promise<Finding[]> {
  const { findings } = await evaluated(log);
  return findings.filter((finding, i) => blocks(finding, FULL_LOAD_1.rules[i] as (typeof FULL_LOAD_1.rules)[number]));
}

const step = (t: number) => (t < 5 ? 0 : 1);

test("the pack and its log conform under a load that comes on at once", async () => {
  expect(await blocking(logOf(step))).toEqual([]);
});

/** Shares of the load as a spin-up may draw them, and how long it may last, s. */
const SPIN_UPS = [0.16, 0.25, 0.3, 0.4].flatMap((share) =>
  [3, 4, 6, 10, 20].map((seconds) => [share, seconds] as const),
);

describe.each(SPIN_UPS)("a spin-up at %d of the load for %d s", (share, seconds) => {
  test("does not conform, since the load did not begin from rest", async () => {
    const found = await blocking(logOf((t) => (t < 5 ? 0 : t < 5 + seconds ? share : 1)));
    expect(found.map(({ rule }) => rule)).toEqual(["load-rise"]);
    const [rise] = found;
    expect(rise?.message).toMatch(
      /rises in .* s.*did not come on at once from rest.*Start the log before the load, and switch the load on at once\.$/,
    );
    expect(rise?.observed).toBeGreaterThan(0.8 * seconds);
  });
});

describe.each([5, 20, 60, 120])("a load that grows over %d s", (seconds) => {
  test.each([0, 5, 70])("after %d s of rest fails for its rise alone", async (rest) => {
    const found = await blocking(logOf((t) => Math.min(1, Math.max(0, t - rest) / seconds)));
    expect(found.map(({ rule }) => rule)).toEqual(["load-rise"]);
  });
});

/** Counters as loggers have them, and their unit. Each wraps in the rest, in the load and after it where it turns in time. */
const COUNTERS = [
  ["us", 2 ** 32],
  ["us", 2 ** 31],
  ["ms", 2 ** 15],
  ["ms", 2 ** 16],
  ["ms", 2 ** 24],
  ["10ms", 2 ** 16],
  ["ms", 2 ** 31],
  ["ms", 2 ** 32],
  ["s", 2 ** 15],
  ["s", 2 ** 16],
] as const;
const PER_SECOND = { us: 1e6, ms: 1e3, "10ms": 100, s: 1 };
const BEGINS = { "in the rest": 2, "as the load comes on": 5, "under load": 60, "after the load": 190 };

describe.each(COUNTERS)("a counter of %s that wraps at %d", (unit, modulus) => {
  const plain = evaluated(logOf(step));

  test.each(Object.entries(BEGINS))("%s gives the run that it is of", async (_, wrapsAtS) => {
    for (const lowest of [0, -modulus / 2]) {
      const ticks = (t: number) => Math.round((t - wrapsAtS) * 1000) * (PER_SECOND[unit] / 1000);
      const timeOf = (t: number) => String((((ticks(t) % modulus) + modulus) % modulus) + lowest);
      const { verdict, figures, adjustments } = await evaluated(logOf(step, { header: `Time [${unit}]`, timeOf }));
      expect(adjustments.map(({ kind }) => kind)).toContain("clock-rolled-over");
      expect(verdict).toBe((await plain).verdict);
      for (const { key, load, value } of (await plain).figures) {
        const same = figures.find((one) => one.key === key && one.load === load);
        expect([key, Math.abs((same?.value ?? 0) / value - 1) < 1e-6]).toEqual([key, true]);
      }
    }
  });
});

test("a clock that was set back, or that begins again with another log, is no counter that wraps", async () => {
  for (const back of [1, 60, 65.536]) {
    const { adjustments } = await evaluated(logOf(step, { timeOf: (t) => (t < 80 ? t : t - back).toFixed(3) }));
    expect(adjustments.map(({ kind }) => kind)).not.toContain("clock-rolled-over");
  }
});
