import { type Rule, within } from "../rule.js";

export const RECOVERY_LOGGED: Rule = {
  id: "recovery-logged",
  observes: "How long the log goes on after the load ended, up to its end or to a next load.",
  why: "How the voltage recovers says what the resistance is at the end of the run, which no reading under load does.",
  unit: "s",
  limits: { minimum: "shortest time, s" },
  assess: ({ run }, limit) => {
    const { loadEndS } = run.stop;
    return within(run.recoveryS, { minimum: limit("minimum") }, { fromS: loadEndS, toS: loadEndS + run.recoveryS });
  },
  seen: (observed) => `After the load the log goes on for ${observed}`,
  missing: null,
  advice: "Let the log run on for ten seconds after the load is off.",
};
