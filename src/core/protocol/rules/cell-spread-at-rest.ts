import { median } from "../../statistics/median.js";
import { indexAtOrAfter } from "../../trace/series.js";
import { type Rule, within } from "../rule.js";

export const CELL_SPREAD_AT_REST: Rule = {
  id: "cell-spread-at-rest",
  observes:
    "Highest logged cell less the lowest one at rest, each as the median of the samples just before the load that the rest voltage is taken from.",
  why: "Cells that differ before the load were not balanced: the highest was charged too far, and the lowest ends the run before the others are empty.",
  unit: "V",
  limits: {
    lipo: "widest spread of a LiPo pack, V",
    lihv: "widest spread of a high-voltage LiPo pack, V",
    liion: "widest spread of a Li-ion pack, V",
    lifepo4: "widest spread of a LiFePO4 pack, whose voltage is steep where it is full, V",
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
  seen: (observed) => `At rest the highest cell lies ${observed} above the lowest`,
  missing: "The log has not the voltages of two cells, or no rest before the load.",
  advice:
    "Balance the pack when you charge it, let it rest until the cells have settled, and check that every balance wire holds.",
};
