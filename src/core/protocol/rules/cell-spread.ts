import { medianOfThree } from "../../trace/median-of-three.js";
import { indexAtOrAfter } from "../../trace/series.js";
import { type Rule, within } from "../rule.js";

export const CELL_SPREAD: Rule = {
  id: "cell-spread",
  observes:
    "The largest difference between the mean cell voltage and the lowest cell voltage under load. Single samples are ignored.",
  why: "A cell that falls behind is weak or was not balanced. It ends the run before the other cells are empty, and it is the first to be damaged.",
  unit: "V",
  limits: { maximum: "largest difference allowed, V" },
  assess: ({ run }, limit) => {
    const { lowestCell, meanCell } = run.samples;
    if (!lowestCell || !meanCell) return null;
    const { time } = run.trace;
    let farthest = { volts: 0, atS: 0 };
    for (let i = indexAtOrAfter(time, 0); i < time.length && (time[i] as number) <= run.stop.endS; i++) {
      const volts = medianOfThree(meanCell, i) - medianOfThree(lowestCell, i);
      if (volts > farthest.volts) farthest = { volts, atS: time[i] as number };
    }
    const { volts, atS } = farthest;
    return within(volts, { maximum: limit("maximum") }, { fromS: atS, toS: atS });
  },
  seen: (observed) => `Under load the lowest cell is ${observed} below the mean of the cells`,
  missing: "The log has no cell voltages.",
  advice: "Balance the pack when you charge it, and check every balance wire. Retire the pack if a cell stays behind.",
};
