import { describe, expect, it } from "@jest/globals";
import { createRandom } from "../../../seed/simulator/random.js";
import { ALTERATIONS, scaled, shifted, together } from "../../../test/support/copies/alterations.js";
import { honestTrace } from "../../../test/support/copies/honest-traces.js";
import { instants, traceOf } from "../../../test/support/traces.js";
import type { Trace } from "../model.js";
import { copyEvidence } from "./evidence.js";

const original = honestTrace({ pack: 5, specimen: 1, run: 1 });
const near = [{ lagS: 0, withinS: 0.5, byCourse: false }];

/** Where the time origin went in each alteration, s: time in the original less time in the copy. */
const lagOf = (copy: Trace): number => {
  const reachesLoad = ({ time, current }: Trace) =>
    time[current.findIndex((one) => one > 0.5 * Math.max(...current))] as number;
  return reachesLoad(original) - reachesLoad(copy);
};

describe("copies", () => {
  it.each(
    Object.entries(ALTERATIONS).filter(([name]) => !name.includes("third cut off") && !/rimmed|middle/.test(name)),
  )("are shown whatever was done to them: %s", (_, alter) => {
    const copy = alter(original, 3);
    const evidence = copyEvidence(original, copy, [{ lagS: lagOf(copy), withinS: 0.5, byCourse: false }]);
    expect(evidence.map(({ channel }) => channel).sort()).toEqual(["current", "voltage"]);
    for (const { correlation, score } of evidence) {
      expect(correlation).toBeGreaterThan(0.6);
      expect(score).toBeGreaterThan(9);
    }
  });

  it("tell by how much they were scaled and shifted", () => {
    const copy = together(scaled(1.03, 0.96), shifted(2.5))(original, 1);
    const evidence = copyEvidence(original, copy, [{ lagS: -2.4, withinS: 0.3, byCourse: false }]);
    const of = (channel: string) => evidence.find((one) => one.channel === channel);
    expect(of("voltage")?.gain).toBeCloseTo(1 / 1.03, 4);
    expect(of("current")?.gain).toBeCloseTo(1 / 0.96, 4);
    expect(of("voltage")?.lagS).toBeCloseTo(-2.5, 1);
    const turned = copyEvidence(copy, original, [{ lagS: 2.4, withinS: 0.3, byCourse: false }]);
    expect(turned.find(({ channel }) => channel === "voltage")?.gain).toBeCloseTo(1.03, 4);
  });

  it("are shown by one channel when the other was made up", () => {
    const random = createRandom(99);
    const copy = { ...original, current: original.current.map((one) => one * (1 + 0.002 * random.gaussian())) };
    expect(copyEvidence(original, copy, near).map(({ channel }) => channel)).toContain("voltage");
  });
});

describe("honest runs are no copies", () => {
  it.each([
    ["of one specimen", { pack: 5, specimen: 1, run: 2 }],
    ["of two specimens", { pack: 5, specimen: 2, run: 1 }],
  ])("%s, at any of many lags", (_, run) => {
    const lags = Array.from({ length: 20 }, (__, i) => ({ lagS: i - 10, withinS: 0.5, byCourse: false }));
    expect(copyEvidence(original, honestTrace(run), lags)).toEqual([]);
  });

  it("whose loads hum alike", () => {
    const humming = (seed: number) => {
      const random = createRandom(seed);
      return traceOf(instants(0, 100, 10), {
        volts: (t) => 15 - 0.01 * t + 0.01 * Math.sin(5 * t) + 0.0005 * random.gaussian(),
        amperes: (t) => 100 - 0.05 * t + Math.sin(5 * t) + 0.05 * random.gaussian(),
      });
    };
    expect(copyEvidence(humming(1), humming(2), near)).toEqual([]);
  });

  it("whose digits hide their noise", () => {
    const coarse = (seed: number) => {
      const random = createRandom(seed);
      const digits = (value: number) => Math.round((value + 0.001 * random.gaussian()) / 0.01) * 0.01;
      return traceOf(instants(0, 100, 10), {
        volts: (t) => digits(15 - 0.01 * t - (0.0002 + 0.00001 * seed) * t * t),
        amperes: (t) => digits(100 - 0.03 * t - (0.0003 - 0.00001 * seed) * t * t),
      });
    };
    expect(copyEvidence(coarse(1), coarse(2), near)).toEqual([]);
    expect(copyEvidence(coarse(1), coarse(1), near)).not.toEqual([]);
  });
});
