import type { Accuracy } from "../../model.js";
import { figureValue, type Rule, type RunUnderTest, within } from "../rule.js";

/** Half-width of an instrument's stated accuracy at a reading. */
const halfWidth = (accuracy: Accuracy, reading: number): number => (accuracy.percent / 100) * reading + accuracy.offset;

function accuracyRule(quantity: "voltage" | "current", reading: (test: RunUnderTest) => number): Rule {
  return {
    id: `${quantity}-accuracy`,
    assess: (test, limit) => {
      const at = reading(test);
      const allowed = halfWidth({ percent: limit("percent"), offset: limit("offset") }, at);
      const least = (limit("leastPercent") / 100) * at;
      return within(halfWidth(test.bench[quantity], at), { minimum: least, maximum: allowed });
    },
    seen: (observed) => `The bench states its ${quantity} to within ${observed} at this load`,
    missing: "The bench states no accuracy.",
    advice: `Use a more accurate ${quantity} sensor, or have this one calibrated, and state what its maker or calibration says: no instrument is exact.`,
  };
}

/** Stated accuracy at the voltage and the current of the run. */
export const VOLTAGE_ACCURACY = accuracyRule(
  "voltage",
  (test) => figureValue(test, "voltage-10s") ?? test.pack.series * test.cell.nominal,
);
export const CURRENT_ACCURACY = accuracyRule("current", (test) => test.run.loadCurrentA);

/** Stated accuracy of the temperature probe. */
export const TEMPERATURE_ACCURACY: Rule = {
  id: "temperature-accuracy",
  assess: ({ bench }, limit) =>
    bench.temperature && within(bench.temperature.offset, { minimum: limit("minimum"), maximum: limit("maximum") }),
  seen: (observed) => `The bench states its temperature to within ${observed}`,
  missing: "The bench states no temperature probe.",
  advice: "Use a more accurate probe, and state what its maker or calibration says: no instrument is exact.",
};
