import { expect, test } from "@jest/globals";
import { FULL_LOAD_1 } from "../protocol/documents/full-load-1.js";
import { describedRun } from "./described-run.js";

const PACK = {
  maker: "Halden Cells",
  name: "Sprint",
  chemistry: "lipo",
  series: 4,
  parallel: 1,
  ratedCapacityMah: 5000,
};
const BENCH = {
  label: "Shed",
  load: { kind: "throttle" },
  voltage: { percent: 0.2, offset: 0.01 },
  current: { percent: 1, offset: 0.1 },
  sense: { point: "pack" },
};
const RUN = { protocol: "full-load", pack: PACK, bench: BENCH, restMinutes: 30 };

test("a run described in full gives its facts and the newest version of its protocol", () => {
  const run = describedRun(RUN);
  expect(run).toMatchObject({
    protocol: { key: "full-load" },
    facts: {
      pack: { series: 4, massGrams: null },
      bench: { temperature: null },
      conditions: { restMinutes: 30, ambientC: null },
      columns: null,
    },
  });
});

test("the versions that a run may follow are those that are given", () => {
  const next = { ...FULL_LOAD_1, version: 2 };
  expect(describedRun(RUN, [FULL_LOAD_1, next])).toMatchObject({ protocol: { version: 2 } });
  expect(describedRun({ ...RUN, protocolVersion: 1 }, [next])).toEqual({
    errors: [{ pointer: "/protocol", message: "must be one of: full-load version 2" }],
  });
});

test("a start may be a day ahead of this clock, and no more", () => {
  const at = (startedAt: string) => describedRun({ ...RUN, startedAt }, undefined, Date.parse("2026-05-02T12:00:00Z"));
  expect(at("2026-05-03T12:00:00Z")).toHaveProperty("facts");
  // By hand: 2026-05-03T12:00:01Z.
  expect(at("2026-05-03T13:00:01+01:00")).toMatchObject({ errors: [{ pointer: "/startedAt" }] });
});

test.each([
  ["a protocol that is not known", { ...RUN, protocol: "beauty" }, "/protocol"],
  ["a version that is not known", { ...RUN, protocolVersion: 999 }, "/protocol"],
  ["leads of unknown resistance", { ...RUN, bench: { ...BENCH, sense: { point: "lead" } } }, "/bench/sense"],
  ["a channel that is not known", { ...RUN, columns: { taste: "A" } }, "/columns/taste"],
  [
    "a unit that is not known",
    { ...RUN, columns: { current: { name: "I", unit: "parsec" } } },
    "/columns/current/unit",
  ],
  ["a member that is not known", { ...RUN, mood: "good" }, "/mood"],
  ["a name that no object may have", { ...RUN, pack: { ...PACK, constructor: 1 } }, "/pack/constructor"],
])("the description is refused with a pointer: %s", (_, declared, pointer) => {
  const run = describedRun(declared);
  expect("errors" in run ? run.errors.map((error) => error.pointer) : []).toEqual([pointer]);
});
