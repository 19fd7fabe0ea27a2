import { integrate, valueAt } from "../../trace/series.js";
import { type Rule, readingSpan, within } from "../rule.js";

/** Difference between the charge that the logger counted and the integral of the current as logged, in % of the latter. */
export const CHARGE_AGREES: Rule = {
  id: "charge-agrees",
  assess: (test, limit) => {
    const { samples, trace, stop } = test.run;
    if (!samples.loggedCharge?.every(Number.isFinite) || stop.endS <= 0) return null;
    const counted = valueAt(trace.time, samples.loggedCharge, stop.endS) - valueAt(trace.time, samples.loggedCharge, 0);
    const expected = integrate(trace.time, samples.current, 0, stop.endS) / 3600;
    return within(
      100 * Math.abs(Math.abs(counted) / expected - 1),
      { maximum: limit("maximumPercent") },
      readingSpan(test),
    );
  },
  seen: (observed) => `The logged charge differs from the integral of the current by ${observed}`,
  missing: "The log has no complete charge column.",
  advice: "Check which columns were read as current and charge, and in which units.",
};
