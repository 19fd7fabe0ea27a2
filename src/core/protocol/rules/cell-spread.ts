import { medianOfThree } from "../../trace/median-of-three.js";
import { indexAtOrAfter } from "../../trace/series.js";
import { type Rule, within } from "../rule.js";

export const CELL_SPREAD: Rule = {
  id: "cell-spread",
  observes:
    "How far the lowest logged cell lies below the mean cell at most, under load up to the end of reading; single samples do not count.",
  why: "A cell that falls behind is weak or was not balanced: it ends the run before the others are empty, and is the first to be harmed.",
  unit: "V",
  limits: { maximum: "farthest below the mean cell, V" },
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
  seen: (observed) => `Under load the lowest cell lies ${observed} below the mean cell`,
  missing: "The log has no cell voltages.",
  advice:
    "Balance the pack when you charge it; retire it when a cell stays behind, and check that every balance wire holds.",
};
