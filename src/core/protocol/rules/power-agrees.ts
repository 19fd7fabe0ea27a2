import { mean } from "../../trace/series.js";
import { type Rule, readingSpan, within } from "../rule.js";

/** Difference between the power that the logger wrote and voltage times current as logged, in % of the latter. */
export const POWER_AGREES: Rule = {
  id: "power-agrees",
  assess: (test, limit) => {
    const { samples, trace, stop } = test.run;
    if (!samples.loggedPower || stop.endS <= 0) return null;
    const product = samples.voltage.map((volts, i) => volts * Math.abs(samples.current[i] as number));
    const logged = samples.loggedPower.map(Math.abs);
    if (!logged.every(Number.isFinite)) return null;
    const expected = mean(trace.time, product, 0, stop.endS);
    const difference = 100 * Math.abs(mean(trace.time, logged, 0, stop.endS) / expected - 1);
    return within(difference, { maximum: limit("maximumPercent") }, readingSpan(test));
  },
  seen: (observed) => `The logged power differs from voltage times current by ${observed}`,
  missing: "The log has no complete power column.",
  advice: "Check which columns were read as voltage, current and power, and in which units.",
};
