import { median } from "../../statistics/median.js";
import { indexAtOrAfter } from "../../trace/series.js";
import { type Rule, within } from "../rule.js";

export const CELL_SPREAD_AT_REST: Rule = {
  id: "cell-spread-at-rest",
  observes:
    "The difference between the highest and the lowest cell voltage at rest. The voltage of a cell is the median of the samples just before the load, from which the rest voltage is taken.",
  why: "Cells that differ before the load were not balanced. The highest cell was charged too far, and the lowest cell ends the run before the others are empty.",
  unit: "V",
  limits: {
    lipo: "largest difference in a LiPo pack, V",
    lihv: "largest difference in a high-voltage LiPo pack, V",
    liion: "largest difference in a Li-ion pack, V",
    lifepo4: "largest difference in a LiFePO4 pack, whose voltage is steep near full charge, V",
  },
  assess: ({ run, pack }, limit) => {
    const { rest, riseS, samples } = run;
    if (!rest) return null;
    const { time } = run.trace;
    const to = indexAtOrAfter(time, -(riseS ?? 0));
    const from = Math.max(0, to - rest.samples);
    if (to <= from) return null;
    const known = samples.cells.map((cell) => cell.subarray(from, to).filter(Number.isFinite));
    const volts = known.filter(({ length }) => length > 0).map(median);
    if (volts.length < 2) return null;
    const span = { fromS: time[from] as number, toS: time[to - 1] as number };
    return within(Math.max(...volts) - Math.min(...volts), { maximum: limit(pack.chemistry) }, span);
  },
  seen: (observed) => `At rest the highest cell is ${observed} above the lowest cell`,
  missing: "The log has fewer than two cell voltages, or no rest before the load.",
  advice:
    "Balance the pack when you charge it, let it rest until the cell voltages settle, and check every balance wire.",
};
