import { type Rule, readingSpan } from "../rule.js";

export const CUTOFF_REACHED: Rule = {
  id: "cutoff-reached",
  observes: "How far above the cutoff voltage the run ended. The value is 0 if the run reached the cutoff.",
  why: "Capacity, energy and runtime are only lower bounds if the run ended early.",
  unit: "V",
  limits: { maximum: "largest voltage above the cutoff, V" },
  loads: ["full", "set-current", "rate"],
  assess: (test, limit) => {
    const { trace, stop } = test.run;
    if (test.cell.cutoff === null) return null;
    const last = trace.time.findLastIndex((time) => time <= stop.loadEndS);
    const above = (trace.voltage[last] as number) - test.pack.series * test.cell.cutoff;
    const observed = stop.cutoffS === null ? above : 0;
    const maximum = limit("maximum");
    return { observed, passes: stop.cutoffS !== null, limit: `<= ${maximum}`, span: readingSpan(test) };
  },
  seen: (observed) => `The run ended ${observed} above the cutoff voltage`,
  missing: "The protocol has no cutoff.",
  advice:
    "Hold the load until the voltage has been below the cutoff for half a second. Stay within the maker's limits and your temperature cut-out.",
};
