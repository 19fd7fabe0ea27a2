import { type Rule, within } from "../rule.js";

/** The voltage drop between the pack and the sense point, as a share of the pack's voltage; it must be known. */
export const SENSE_KNOWN: Rule = {
  id: "sense-known",
  assess: ({ run, pack, cell }, limit) => {
    if (run.senseOhm === null) return null;
    const share = (100 * run.senseOhm * run.loadCurrentA) / (pack.series * cell.nominal);
    return within(share, { maximum: limit("maximumPercent") });
  },
  seen: (observed) => `The drop over the leads before the sense point is ${observed} of the nominal voltage`,
  missing: "The voltage is sensed past leads of unknown resistance.",
  advice: "Sense the voltage at the pack, or state the leads' resistance, or their gauge and length.",
};
