import { statedAccuracy } from "../observe/stated-accuracy.js";
import { figureValue, type Rule } from "../rule.js";

export const VOLTAGE_ACCURACY: Rule = {
  id: "voltage-accuracy",
  observes: "The stated accuracy of the voltage sensor, as a half-width at the voltage of the run.",
  why: "A figure that uses the voltage cannot be more certain than the voltage sensor.",
  unit: "V",
  limits: {
    percent: "widest accuracy allowed, part in % of the reading",
    offset: "widest accuracy allowed, constant part, V",
    leastPercent: "smallest plausible half-width, % of the reading",
  },
  assess: (test, limit) => {
    const reading = figureValue(test, "voltage-10s") ?? test.pack.series * test.cell.nominal;
    return statedAccuracy(test.bench.voltage, reading, limit);
  },
  seen: (observed) => `The stated accuracy of the voltage at this load is +-${observed}`,
  missing: null,
  advice:
    "Use a more accurate voltage sensor, or have this one calibrated. State what its maker or its calibration says. No instrument is exact.",
};
