import { type Rule, within } from "../rule.js";

export const SENSE_KNOWN: Rule = {
  id: "sense-known",
  observes:
    "Voltage drop between the pack and the sense point at the load current, in % of the nominal voltage. It must be known.",
  why: "An unknown drop counts against the pack, and a large one is only roughly known.",
  unit: "%",
  limits: { maximumPercent: "largest drop, % of the nominal voltage" },
  assess: ({ run, pack, cell }, limit) => {
    if (run.senseOhm === null) return null;
    const share = (100 * run.senseOhm * run.loadCurrentA) / (pack.series * cell.nominal);
    return within(share, { maximum: limit("maximumPercent") });
  },
  seen: (observed) => `The drop over the leads before the sense point is ${observed} of the nominal voltage`,
  missing: "The voltage is sensed past leads of unknown resistance.",
  advice: "Sense the voltage at the pack, or state the leads' resistance, or their gauge and length.",
};
