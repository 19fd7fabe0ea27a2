import { mean } from "../../trace/series.js";
import { type Rule, type RunUnderTest, readingSpan, within } from "../rule.js";

export const POWER_AGREES: Rule = {
  id: "power-agrees",
  observes: "The difference between the logged power and logged voltage times logged current, in % of the latter.",
  why: "Both ways must give the same power. If they do not, a column was misread.",
  unit: "%",
  limits: { maximumPercent: "largest difference allowed, %" },
  assess: (test, limit) => {
    const compared = whereLogged(test);
    if (!compared) return null;
    const { time, logged, product } = compared;
    const { endS } = test.run.stop;
    const difference = 100 * Math.abs(mean(time, logged, 0, endS) / mean(time, product, 0, endS) - 1);
    return within(difference, { maximum: limit("maximumPercent") }, readingSpan(test));
  },
  seen: (observed) => `The logged power differs from voltage times current by ${observed}`,
  missing: "The log has no power column.",
  advice: "Check which columns and units were taken as voltage, current and power.",
};

/** The samples at which power was logged; null when there are fewer than two. */
function whereLogged({ run }: RunUnderTest) {
  const { voltage, current, loggedPower } = run.samples;
  if (!loggedPower || run.stop.endS <= 0) return null;
  const kept = Array.from(loggedPower.keys()).filter((i) => Number.isFinite(loggedPower[i]));
  if (kept.length < 2) return null;
  const pick = (value: (i: number) => number) => Float64Array.from(kept, value);
  return {
    time: pick((i) => run.trace.time[i] as number),
    logged: pick((i) => Math.abs(loggedPower[i] as number)),
    product: pick((i) => (voltage[i] as number) * Math.abs(current[i] as number)),
  };
}
