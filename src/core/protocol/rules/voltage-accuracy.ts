import { statedAccuracy } from "../observe/stated-accuracy.js";
import { figureValue, type Rule } from "../rule.js";

export const VOLTAGE_ACCURACY: Rule = {
  id: "voltage-accuracy",
  observes: "Stated accuracy of the voltage sensor, as a half-width at the voltage of the run.",
  why: "Every figure made of the voltage is only as certain as its sensor.",
  unit: "V",
  limits: {
    percent: "widest accuracy that is allowed: its part in % of the reading",
    offset: "widest accuracy that is allowed: its constant part, V",
    leastPercent: "smallest half-width that is believable, % of the reading",
  },
  assess: (test, limit) => {
    const reading = figureValue(test, "voltage-10s") ?? test.pack.series * test.cell.nominal;
    return statedAccuracy(test.bench.voltage, reading, limit);
  },
  seen: (observed) => `The bench states its voltage to within ${observed} at this load`,
  missing: null,
  advice:
    "Use a more accurate voltage sensor, or have this one calibrated, and state what its maker or calibration says: no instrument is exact.",
};
