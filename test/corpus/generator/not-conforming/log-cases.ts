import type { Case } from "./cases.js";
import type { Draft, Row } from "./draft.js";
import { FULL_LOAD } from "./runs.js";

const full = (change: Partial<Draft>): Draft => ({ ...FULL_LOAD, ...change });
const edited = (edit: (rows: readonly Row[]) => readonly Row[]) => full({ edit });
const each = (by: (row: Row, index: number) => Partial<Row>) =>
  edited((rows) => rows.map((row, i) => ({ ...row, ...by(row, i) })));
const rowAt = (rows: readonly Row[], seconds: number) => rows.findIndex(({ time }) => time >= seconds);

/** What the logger, its clock or its wires did to the table. */
export const LOG_CASES: readonly Case[] = [
  {
    fails: ["sampling-rate"],
    shows: "logged four times a second",
    draft: full({ bench: { ...FULL_LOAD.bench, rateHz: 4 }, decimals: [2, 3, 2] }),
  },
  {
    fails: ["largest-gap"],
    shows: "1.6 s are missing a minute into the run",
    draft: edited((rows) => rows.filter(({ time }) => time < 64 || time > 65.5)),
  },
  {
    fails: ["time-rises"],
    shows: "one row stands in the log again 20 s later, under its old time",
    draft: edited((rows) => rows.toSpliced(rowAt(rows, 80), 0, rows[rowAt(rows, 60)] as Row)),
  },
  {
    fails: ["rows-usable"],
    shows: "every fiftieth row has no current",
    draft: each((_, i) => (i % 50 === 7 ? { current: Number.NaN } : {})),
  },
  {
    fails: ["spikes"],
    shows: "a loose probe: two rows in a row at 0 degC",
    draft: each(({ time }) => (time >= 59.95 && time < 60.25 ? { temperature: 0 } : {})),
  },
  {
    fails: ["duplicate-rows"],
    shows: "the logger wrote one row twice",
    draft: edited((rows) => rows.toSpliced(300, 0, rows[300] as Row)),
  },
  {
    fails: ["discharge-sign"],
    shows: "discharge is counted as negative",
    draft: each(({ current }) => ({ current: -current })),
  },
  {
    fails: ["current-zero"],
    shows: "the current sensor shows 3 % of the load at rest",
    draft: each(({ current }) => ({ current: current + 2.9 })),
  },
  {
    fails: ["current-offset"],
    shows: "the current sensor shows 1 % of the load at rest, which is subtracted",
    draft: each(({ current }) => ({ current: current + 0.9 })),
  },
  {
    fails: ["standard-load"],
    shows: "a bank of two hundred such packs at 18 kA, beyond every standard load",
    draft: {
      ...each(({ current }) => ({ current: 200 * current })),
      pack: { ...FULL_LOAD.pack, parallel: 100, ratedCapacityMah: 1_000_000, massGrams: 109_000 },
    },
  },
  {
    fails: ["temperature-logged"],
    shows: "no temperature was logged",
    draft: full({ columns: [] }),
  },
];
