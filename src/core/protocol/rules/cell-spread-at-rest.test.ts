import { expect, test } from "@jest/globals";
import { ruleCases } from "../../../../test/support/rule-cases.js";
import { findingOf, type RunChanges, runUnderTest } from "../../../../test/support/run-under-test.js";

const { samples, trace } = runUnderTest().run;
const isRest = (i: number) => (trace.time[i] as number) < 0;
const at = (volts: number, where: (i: number) => boolean = isRest): RunChanges => ({
  samples: {
    cells: [
      samples.voltage.map((value) => value / 4),
      samples.voltage.map((value, i) => value / 4 + (where(i) ? volts : 0)),
    ],
  },
});

ruleCases("cell-spread-at-rest", {
  passing: {
    "cells that are alike": at(0.005),
    "cells that part only under load": at(0.2, (i) => !isRest(i)),
    "a single spiked sample": at(0.5, (i) => i === 12),
  },
  failing: { "a cell that was not balanced": at(0.08) },
  boundary: {
    "0.03 V of LiPo": [at(0.0299), at(0.031)],
    "0.03 V of high-voltage LiPo": [
      { pack: { chemistry: "lihv" }, ...at(0.0299) },
      { pack: { chemistry: "lihv" }, ...at(0.031) },
    ],
    "0.03 V of Li-ion": [
      { pack: { chemistry: "liion" }, ...at(0.0299) },
      { pack: { chemistry: "liion" }, ...at(0.031) },
    ],
    "0.15 V of LiFePO4": [
      { pack: { chemistry: "lifepo4" }, ...at(0.149) },
      { pack: { chemistry: "lifepo4" }, ...at(0.151) },
    ],
  },
  notAssessable: {
    "a log of one cell": { samples: { cells: samples.cells.slice(1, 2) } },
    "a log whose cells begin under load": {
      samples: { cells: samples.cells.map((cell) => cell.map((volts, i) => (isRest(i) ? Number.NaN : volts))) },
    },
    "a log without cells": { samples: { cells: [] } },
    "a log that begins under load": { run: { rest: null, riseS: null } },
  },
});

test("the samples of the rest voltage count, which end before the current rises", () => {
  const risen = (i: number) => (trace.time[i] as number) >= -0.2 && isRest(i);
  expect(findingOf("cell-spread-at-rest", at(0.08, risen)).outcome).toBe("pass");
});
