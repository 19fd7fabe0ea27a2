import { medianOfThree } from "../../trace/median-of-three.js";
import { indexAtOrAfter } from "../../trace/series.js";
import { type Observation, type RunUnderTest, round } from "../rule.js";

/** From the last second of rest on; what is logged before, a pack may not have been connected yet. */
const FROM_S = -1;

/**
 * The voltage per cell farthest from the middle of what the chemistry allows at all, against that range widened by
 * `tolerance` V. Single samples do not count.
 */
export function farthestVoltage(
  test: RunUnderTest,
  volts: Float64Array,
  cells: number,
  tolerance: number,
): Observation {
  const [lowest, highest] = [test.cell.lowest - tolerance, test.cell.highest + tolerance];
  const farthest = farthestOut(test, volts, cells);
  return {
    observed: farthest.volts,
    passes: farthest.volts >= lowest && farthest.volts <= highest,
    limit: `${round(lowest)} to ${round(highest)}`,
    span: { fromS: farthest.atS, toS: farthest.atS },
  };
}

function farthestOut({ run, cell }: RunUnderTest, values: Float64Array, cells: number): { volts: number; atS: number } {
  const middle = (cell.lowest + cell.highest) / 2;
  const { time } = run.trace;
  let farthest = { volts: middle, atS: 0 };
  let distance = 0;
  let before = Number.POSITIVE_INFINITY;
  for (let i = indexAtOrAfter(time, FROM_S); i < time.length && (time[i] as number) <= run.stop.endS; i++) {
    const here = Math.abs((values[i] as number) / cells - middle);
    // Where the median of three lies farther out, two of the three do.
    const mayBeFarther = here > distance || before > distance;
    before = here;
    if (!mayBeFarther) continue;
    const volts = medianOfThree(values, i) / cells;
    if (Math.abs(volts - middle) > distance) {
      distance = Math.abs(volts - middle);
      farthest = { volts, atS: time[i] as number };
    }
  }
  return farthest;
}
