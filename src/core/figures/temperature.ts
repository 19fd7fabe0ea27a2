import { combining, type FigureFormula } from "./formula.js";

/** Highest temperature under load above the temperature at onset, K. */
export const TEMPERATURE_RISE: FigureFormula = {
  key: "temperature-rise",
  unit: "K",
  growsWithRun: true,
  ownLoadOnly: true,
  from: combining(["highest-temperature", "start-temperature"], ([highest = 0, start = 0]) => highest - start),
};

/** Time from onset until the pack reached the protocol's temperature limit, s. */
export const TIME_TO_LIMIT: FigureFormula = {
  key: "time-to-limit",
  unit: "s",
  sinceOnset: true,
  ownLoadOnly: true,
  from: combining(["time-to-limit"], ([seconds = Number.NaN]) => seconds),
};
