import { step } from "./constant-current-cases.js";
import { bench, CURRENT, type FixtureCase, ordinary, VOLTAGE } from "./fixture-cases.js";

/** Each current as the mean of its own row and the rows before it, `count` of them, as a logger smooths it. */
const smoothedCurrent = (count: number) => (rows: readonly string[]) =>
  rows.map((row, index) => {
    if (index < count) return row;
    const readings = rows.slice(index - count + 1, index + 1).map((one) => Number(one.split(",")[CURRENT]));
    const mean = readings.reduce((sum, amperes) => sum + amperes, 0) / count;
    return row.split(",").with(CURRENT, mean.toFixed(2)).join(",");
  });

/** How many rows repeat one reading, and the row of the first new one. */
interface Repeated {
  readonly rows: number;
  readonly from: number;
}

/** Each field as that of the row in which its meter last had a new reading. */
const repeated = (by: ReadonlyMap<number, Repeated>) => (rows: readonly string[]) =>
  rows.map((row, index) => {
    const fields = row.split(",");
    for (const [field, { rows: count, from }] of by) {
      const read = Math.max(1, index - ((index - from + count) % count));
      if (index > 0) fields[field] = (rows[read] as string).split(",")[field] as string;
    }
    return fields.join(",");
  });

const bothEvery = (rows: number) =>
  repeated(
    new Map([
      [VOLTAGE, { rows, from: 4 }],
      [CURRENT, { rows, from: 4 }],
    ]),
  );

/** What loggers and scripts make of the readings of an honest run. */
export const INSTRUMENT_CASES: readonly FixtureCase[] = [
  {
    ...ordinary,
    name: "current-smoothed",
    shows: "a current that its logger averages over 0.2 s, of a load that went 0.1 s after the cutoff",
    bench: { ...bench, rateHz: 20 },
    run: { ...ordinary.run, stop: { volts: 13.19, delaySeconds: 0.1, latestSeconds: 600 } },
    edit: smoothedCurrent(4),
  },
  {
    ...ordinary,
    name: "repeated-together",
    shows: "a meter that reads once a second, polled ten times a second",
    run: { ...ordinary.run, restSeconds: 8 },
    edit: bothEvery(10),
  },
  {
    ...ordinary,
    name: "repeated-apart",
    shows: "a voltage that is new every 0.2 s and a current that is new every second, in rows 0.1 s apart",
    run: { ...ordinary.run, restSeconds: 8 },
    edit: repeated(
      new Map([
        [VOLTAGE, { rows: 2, from: 3 }],
        [CURRENT, { rows: 10, from: 8 }],
      ]),
    ),
  },
  {
    ...step,
    name: "repeated-ladder",
    shows: "a step of a ladder whose meter reads once a second, as its protocol allows, in rows 0.1 s apart",
    bench: { ...step.bench, rateHz: 10 },
    run: { ...step.run, restSeconds: 8 },
    edit: bothEvery(10),
  },
];
