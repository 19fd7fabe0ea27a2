import { countedDifference } from "../observe/counted-difference.js";
import type { Rule } from "../rule.js";

export const ENERGY_AGREES: Rule = {
  id: "energy-agrees",
  observes:
    "The difference between the energy counted by the logger and the integral of logged voltage times logged current over the same time, in % of the integral.",
  why: "Both ways must give the same energy. If they do not, a column was misread or samples are missing.",
  unit: "%",
  limits: { maximumPercent: "largest difference allowed, %" },
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
  missing: "The log has no energy column, or fewer than two values in it under load.",
  advice:
    "Check which columns and units were taken as voltage, current and energy. Check that the logger's counter covers this run only.",
};
