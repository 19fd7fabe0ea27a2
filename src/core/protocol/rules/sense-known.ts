import { type Rule, within } from "../rule.js";

export const SENSE_KNOWN: Rule = {
  id: "sense-known",
  observes:
    "The voltage drop between the pack and the sense point at the load current, in % of the nominal voltage. It must be known.",
  why: "An unknown drop counts against the pack. A large drop is known only roughly.",
  unit: "%",
  limits: { maximumPercent: "largest drop allowed, % of the nominal voltage" },
  assess: ({ run, pack, cell }, limit) => {
    if (run.senseOhm === null) return null;
    const share = (100 * run.senseOhm * run.loadCurrentA) / (pack.series * cell.nominal);
    return within(share, { maximum: limit("maximumPercent") });
  },
  seen: (observed) => `The voltage drop between the pack and the sense point is ${observed} of the nominal voltage`,
  missing: "The resistance between the pack and the sense point is unknown.",
  advice: "Sense the voltage at the pack, or declare the resistance of the leads, or their gauge and length.",
};
