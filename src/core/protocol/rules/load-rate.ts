import { mean } from "../../trace/series.js";
import { setCurrentOf } from "../load.js";
import { type Rule, readingSpan, within } from "../rule.js";

export const LOAD_RATE: Rule = {
  id: "load-rate",
  observes:
    "The difference between the mean current and the multiple of It that the protocol sets, in % of the latter.",
  why: "A pack delivers less charge at a higher current, so capacities at different currents cannot be compared.",
  unit: "%",
  limits: { maximumPercent: "largest difference allowed, %" },
  loads: ["rate"],
  assess: (test, limit) => {
    const { trace, stop } = test.run;
    const askedA = setCurrentOf(test.protocol, test.pack, null);
    if (askedA === null || !(stop.endS > 0)) return null;
    const difference = 100 * Math.abs(mean(trace.time, trace.current, 0, stop.endS) / askedA - 1);
    return within(difference, { maximum: limit("maximumPercent") }, readingSpan(test));
  },
  seen: (observed) => `The mean current differs from the protocol's by ${observed}`,
  missing: "The protocol does not set a multiple of It.",
  advice:
    "Set the load to the current that the protocol asks for. 1 It is the rated capacity in Ah taken as a current in A.",
};
