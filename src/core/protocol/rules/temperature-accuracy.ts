import { type Rule, within } from "../rule.js";

export const TEMPERATURE_ACCURACY: Rule = {
  id: "temperature-accuracy",
  observes: "Stated accuracy of the temperature probe.",
  why: "Whether a step stays below the temperature limit hangs on it.",
  unit: "K",
  limits: { minimum: "smallest half-width that is believable, K", maximum: "largest half-width that is allowed, K" },
  assess: ({ bench }, limit) =>
    bench.temperature && within(bench.temperature.offset, { minimum: limit("minimum"), maximum: limit("maximum") }),
  seen: (observed) => `The bench states its temperature to within ${observed}`,
  missing: "The bench states no temperature probe.",
  advice: "Use a more accurate probe, and state what its maker or calibration says: no instrument is exact.",
};
