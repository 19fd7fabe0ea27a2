import type { NormalisedRun } from "../../trace/normalise.js";
import { indexAtOrAfter } from "../../trace/series.js";
import { medianOfThree } from "../../trace/spikes.js";
import { type Rule, type RunUnderTest, round } from "../rule.js";

/** From the last second of rest on; what is logged before, a pack may not have been connected yet. */
const FROM_S = -1;

function plausible(
  id: string,
  what: string,
  volts: (run: NormalisedRun) => Float64Array | null,
  cells: (test: RunUnderTest) => number,
): Rule {
  return {
    id,
    assess: (test, limit) => {
      const values = volts(test.run);
      if (!values) return null;
      const [lowest, highest] = [test.cell.lowest - limit("tolerance"), test.cell.highest + limit("tolerance")];
      const worst = farthestOut(test, values, cells(test));
      return {
        observed: worst.volts,
        passes: worst.volts >= lowest && worst.volts <= highest,
        limit: `${round(lowest)} to ${round(highest)}`,
        span: { fromS: worst.atS, toS: worst.atS },
      };
    },
    seen: (observed) => `The ${what} farthest from the middle of its range is ${observed}`,
    missing: `The log has no ${what}.`,
    advice:
      "Check the pack's chemistry and number of cells in series, and which column was read as the voltage in which unit.",
  };
}

/** The voltage per cell farthest from the middle of what the chemistry allows; single samples do not count. */
function farthestOut({ run, cell }: RunUnderTest, values: Float64Array, cells: number): { volts: number; atS: number } {
  const middle = (cell.lowest + cell.highest) / 2;
  const { time } = run.trace;
  let worst = { volts: middle, atS: 0 };
  let farthest = 0;
  for (let i = indexAtOrAfter(time, FROM_S); i < time.length && (time[i] as number) <= run.stop.endS; i++) {
    const volts = medianOfThree(values, i) / cells;
    if (Math.abs(volts - middle) > farthest) {
      farthest = Math.abs(volts - middle);
      worst = { volts, atS: time[i] as number };
    }
  }
  return worst;
}

/** Highest and lowest voltage per cell that the chemistry allows at all, of the pack and of its lowest logged cell. */
export const VOLTAGE_PLAUSIBLE = plausible(
  "voltage-plausible",
  "voltage per cell",
  ({ trace }) => trace.voltage,
  ({ pack }) => pack.series,
);
export const CELL_VOLTAGE_PLAUSIBLE = plausible(
  "cell-voltage-plausible",
  "voltage of the lowest cell",
  ({ samples }) => samples.lowestCell,
  () => 1,
);
