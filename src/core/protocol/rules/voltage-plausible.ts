import { type Rule, type RunUnderTest, round } from "../rule.js";

/** Highest and lowest voltage per cell that the chemistry allows at all. */
export const VOLTAGE_PLAUSIBLE: Rule = {
  id: "voltage-plausible",
  assess: (test, limit) => {
    const { lowest, highest } = test.cell;
    const tolerance = limit("tolerance");
    const worst = farthestOut(test);
    return {
      observed: worst,
      passes: worst >= lowest - tolerance && worst <= highest + tolerance,
      limit: `${round(lowest - tolerance)} to ${round(highest + tolerance)}`,
      span: { fromS: test.run.trace.time[0] as number, toS: test.run.stop.endS },
    };
  },
  seen: (observed) => `The voltage per cell farthest from the middle of its range is ${observed}`,
  missing: "The log has no voltage.",
  advice:
    "Check the pack's chemistry and number of cells in series, and which column was read as the voltage in which unit.",
};

function farthestOut({ run, pack, cell }: RunUnderTest): number {
  const middle = (cell.lowest + cell.highest) / 2;
  let worst = middle;
  const { time, voltage } = run.trace;
  for (let i = 0; i < time.length && (time[i] as number) <= run.stop.endS; i++) {
    const perCell = (voltage[i] as number) / pack.series;
    if (Math.abs(perCell - middle) > Math.abs(worst - middle)) worst = perCell;
  }
  return worst;
}
