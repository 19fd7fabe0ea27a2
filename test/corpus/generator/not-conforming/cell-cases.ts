import type { Case } from "./cases.js";
import type { Draft, Row } from "./draft.js";
import { FULL_LOAD } from "./runs.js";

/** The run with its cells logged; `by` gives what one of them reads more, V, at `seconds` under load. */
const withCell = (by: (seconds: number, row: Row) => number): Draft => ({
  ...FULL_LOAD,
  columns: ["temperature", "cells"],
  edit: (rows, { restSeconds }) =>
    rows.map((row) => ({
      ...row,
      cells: row.cells.map((volts, i) => (i === 2 ? volts + by(row.time - restSeconds, row) : volts)),
    })),
});

/** Logs of the single cells. */
export const CELL_CASES: readonly Case[] = [
  {
    fails: ["cell-voltage-plausible"],
    shows: "a balance wire that makes a cell read 4.6 V for a moment before the load",
    draft: withCell((seconds) => (seconds >= -0.7 && seconds < -0.3 ? 0.42 : 0)),
  },
  {
    fails: ["cell-spread-at-rest"],
    shows: "a cell that was charged 50 mV too far, and comes down to the others under load",
    draft: withCell((seconds) => (seconds < 0 ? 0.05 : 0.01)),
  },
  {
    fails: ["cell-spread"],
    shows: "a cell of higher resistance than the others",
    draft: withCell((_, { current }) => -0.0018 * current),
  },
];
