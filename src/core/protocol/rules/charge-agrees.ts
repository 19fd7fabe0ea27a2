import { countedDifference } from "../observe/counted-difference.js";
import type { Rule } from "../rule.js";

export const CHARGE_AGREES: Rule = {
  id: "charge-agrees",
  observes:
    "The difference between the charge counted by the logger and the integral of the logged current over the same time, in % of the integral.",
  why: "Both ways must give the same charge. If they do not, a column was misread or samples are missing.",
  unit: "%",
  limits: { maximumPercent: "largest difference allowed, %" },
  assess: (test, limit) => {
    const { samples } = test.run;
    return countedDifference(test, samples.loggedCharge, () => samples.current, limit("maximumPercent"));
  },
  seen: (observed) => `The logged charge differs from the integral of the current by ${observed}`,
  missing: "The log has no charge column, or fewer than two values in it under load.",
  advice:
    "Check which columns and units were taken as voltage, current and charge. Check that the logger's counter covers this run only.",
};
