import { expect, it } from "@jest/globals";
import { ALTERATIONS } from "../../../test/support/copies/alterations.js";
import { honestTrace } from "../../../test/support/copies/honest-traces.js";
import { instants, traceOf } from "../../../test/support/traces.js";
import type { Trace } from "../model.js";
import { hashesToIndex, hashesToQuery } from "./hashes.js";
import { sharedLags } from "./shared-lags.js";

const original = honestTrace({ pack: 3, specimen: 2, run: 1 });

const lagsOf = (indexed: Trace, query: Trace) => sharedLags(hashesToIndex(indexed), hashesToQuery(query));

it.each(Object.entries(ALTERATIONS))("a copy shares hashes at one lag with its original: %s", (_, alter) => {
  expect(lagsOf(original, alter(original, 5))).not.toEqual([]);
});

it("another time origin is the lag that is found", () => {
  const later = { ...original, time: original.time.map((t) => t + 12.5) };
  expect(lagsOf(original, later)[0]?.lagS).toBeCloseTo(-12.5, 0);
});

it.each([
  ["another run of the same specimen", { pack: 3, specimen: 2, run: 2 }],
  ["a run of another specimen", { pack: 3, specimen: 3, run: 1 }],
  ["a run of another pack", { pack: 4, specimen: 2, run: 1 }],
])("%s shares no two hashes at one lag", (_, run) => {
  expect(lagsOf(original, honestTrace(run))).toEqual([]);
});

it("a trace that is too short, or that has no noise, has no hashes", () => {
  const smooth = traceOf(instants(0, 100, 10), { volts: () => 15, amperes: () => 100 });
  expect(hashesToIndex(smooth).hashes).toHaveLength(0);
  const isEarly = (_: number, i: number) => (original.time[i] as number) < 6;
  const { time, voltage, current } = original;
  const short = {
    time: time.filter(isEarly),
    voltage: voltage.filter(isEarly),
    current: current.filter(isEarly),
    temperature: null,
  };
  expect(hashesToIndex(short).hashes).toHaveLength(0);
});
