import { expect, it } from "@jest/globals";
import { memberOf, membersBeside, runFileOf, withEntries } from "./declared-run.js";

const PACK = {
  maker: "Halden Cells",
  name: "Sprint",
  chemistry: "lipo",
  series: 4,
  connector: "bullets of 6 mm",
  leadGaugeAwg: 10,
};
const BENCH = {
  label: "Shed",
  load: { kind: "throttle" },
  temperature: { offset: 1 },
  clockPercent: 0.5,
  sense: { point: "lead", gaugeAwg: 12, lengthMm: 200 },
};
const FILE = {
  protocol: "full-load",
  protocolVersion: 1,
  columns: { time: "t" },
  discharge: 2,
  startedAt: "2026-05-02T09:12:00Z",
  specimen: { label: "no. 1" },
  pack: PACK,
  bench: BENCH,
};

it("takes a run file apart without losing a member", () => {
  const { run, ...rest } = runFileOf(FILE);
  expect(run).toEqual({ protocol: "full-load", protocolVersion: 1, pack: PACK, bench: BENCH });
  expect(rest).toEqual({
    columns: { time: "t" },
    discharge: 2,
    startedAt: "2026-05-02T09:12:00Z",
    specimen: "no. 1",
    bench: "Shed",
  });
  expect(runFileOf({ ...FILE, specimenId: "a", benchId: "b", bench: "Shed" })).toMatchObject({
    run: { protocol: "full-load" },
    specimen: "a",
    bench: "b",
  });
  expect(runFileOf({ mood: "good" }).run).toEqual({ mood: "good" });
});

it("changes what was entered and nothing else", () => {
  const { run } = runFileOf(FILE);
  const next = withEntries(
    run,
    new Map<string, string | number | null>([
      ["pack.series", 6],
      ["bench.temperature.offset", null],
      ["bench.voltage.percent", 0.1],
      ["ambientC", 20],
    ]),
  );
  const { temperature: _, ...bench } = BENCH;
  expect(next).toEqual({
    ...run,
    ambientC: 20,
    pack: { ...PACK, series: 6 },
    bench: { ...bench, voltage: { percent: 0.1 } },
  });
  expect(memberOf(run, "pack.series")).toBe(4);
  expect(memberOf({ pack: "4S" }, "pack.series")).toBeUndefined();
});

it("names the members that no field shows", () => {
  const fields = new Set(["protocol", "protocolVersion", "pack.series", "pack.chemistry", "bench.sense.gaugeAwg"]);
  expect(membersBeside(runFileOf({ ...FILE, bench: { sense: BENCH.sense }, mood: "good" }).run, fields)).toEqual([
    'pack.maker "Halden Cells"',
    'pack.name "Sprint"',
    'pack.connector "bullets of 6 mm"',
    "pack.leadGaugeAwg 10",
    'mood "good"',
    'bench.sense.point "lead"',
    "bench.sense.lengthMm 200",
  ]);
});
