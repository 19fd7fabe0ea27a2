import { CURRENT, change, type FixtureCase, ordinary } from "./fixture-cases.js";

const drop = (rows: readonly string[]) => change(rows, 64, 69, CURRENT, () => "0.05");

/** Logs that hold more than the run. */
export const SEVERAL_LOADS_CASES: readonly FixtureCase[] = [
  {
    ...ordinary,
    name: "first-discharge",
    shows: "two discharges 5 s apart, the first one the run",
    discharge: 1,
    edit: drop,
  },
  {
    ...ordinary,
    name: "second-discharge",
    shows: "two discharges 5 s apart, the second one the run",
    discharge: 2,
    edit: drop,
  },
  {
    ...ordinary,
    name: "spin-up-before",
    shows: "a second at 30 A that ends two seconds before the run",
    edit: (rows) => change(rows, 1, 2, CURRENT, () => "30.00"),
  },
  {
    ...ordinary,
    name: "charge-before",
    shows: "a charge of 20 A that ends 2.4 s before the run, and one of 10 A that begins 2 s after it",
    edit: (rows) =>
      change(
        change(rows, 0, 1.6, CURRENT, () => "-20.00"),
        199.5,
        210,
        CURRENT,
        () => "-10.00",
      ),
  },
];
