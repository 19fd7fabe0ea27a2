import { countedDifference } from "../observe/counted-difference.js";
import type { Rule } from "../rule.js";

export const ENERGY_AGREES: Rule = {
  id: "energy-agrees",
  observes:
    "Difference between the energy that the logger counted and the integral of logged voltage times current over the same time, in % of the latter.",
  why: "Two ways to the same energy must meet; where they do not, a column was misread or samples are missing.",
  unit: "%",
  limits: { maximumPercent: "largest difference, %" },
  assess: (test, limit) => {
    const { samples } = test.run;
    return countedDifference(
      test,
      samples.loggedEnergy,
      () => samples.voltage.map((volts, i) => volts * (samples.current[i] as number)),
      limit("maximumPercent"),
    );
  },
  seen: (observed) => `The logged energy differs from the integral of the power by ${observed}`,
  missing: "The log has no energy column, or fewer than two numbers in it under load.",
  advice:
    "Check which columns were read as voltage, current and energy, and in which units, and that the logger's counter covers the run and no more.",
};
