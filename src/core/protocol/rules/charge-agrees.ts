import { countedDifference } from "../observe/counted-difference.js";
import type { Rule } from "../rule.js";

export const CHARGE_AGREES: Rule = {
  id: "charge-agrees",
  observes:
    "Difference between the charge that the logger counted and the integral of the logged current over the same time, in % of the latter.",
  why: "Two ways to the same charge must meet; where they do not, a column was misread or samples are missing.",
  unit: "%",
  limits: { maximumPercent: "largest difference, %" },
  assess: (test, limit) => {
    const { samples } = test.run;
    return countedDifference(test, samples.loggedCharge, () => samples.current, limit("maximumPercent"));
  },
  seen: (observed) => `The logged charge differs from the integral of the current by ${observed}`,
  missing: "The log has no charge column, or fewer than two numbers in it under load.",
  advice:
    "Check which columns were read as voltage, current and charge, and in which units, and that the logger's counter covers the run and no more.",
};
