import { mean } from "../../trace/series.js";
import { setCurrentOf } from "../load.js";
import { type Rule, readingSpan, within } from "../rule.js";

export const LOAD_RATE: Rule = {
  id: "load-rate",
  observes: "Difference of the mean current from the multiple of It that the protocol asks for, in % of it.",
  why: "A pack delivers less charge at more current, so capacities at other currents do not compare.",
  unit: "%",
  limits: { maximumPercent: "largest difference, %" },
  loads: ["rate"],
  assess: (test, limit) => {
    const { trace, stop } = test.run;
    const askedA = setCurrentOf(test.protocol, test.pack, null);
    if (askedA === null || !(stop.endS > 0)) return null;
    const difference = 100 * Math.abs(mean(trace.time, trace.current, 0, stop.endS) / askedA - 1);
    return within(difference, { maximum: limit("maximumPercent") }, readingSpan(test));
  },
  seen: (observed) => `The mean current differs from the protocol's by ${observed}`,
  missing: "The protocol asks for no multiple of It.",
  advice: "Set the load to the protocol's multiple of It, the rated capacity in Ah taken as a current in A.",
};
