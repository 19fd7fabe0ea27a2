import { type Rule, within } from "../rule.js";

export const TEMPERATURE_ACCURACY: Rule = {
  id: "temperature-accuracy",
  observes: "The stated accuracy of the temperature probe, as a half-width.",
  why: "It decides how surely a step stays below the temperature limit.",
  unit: "K",
  limits: { minimum: "smallest plausible half-width, K", maximum: "largest half-width allowed, K" },
  assess: ({ bench }, limit) =>
    bench.temperature && within(bench.temperature.offset, { minimum: limit("minimum"), maximum: limit("maximum") }),
  seen: (observed) => `The stated accuracy of the temperature is +-${observed}`,
  missing: "The bench declares no temperature probe.",
  advice: "Use a more accurate probe. State what its maker or its calibration says. No instrument is exact.",
};
