import { type Rule, within } from "../rule.js";

/** Resistance between the pack's terminals and the sense point; its drop was added to the voltage. */
export const SENSE_AT_PACK: Rule = {
  id: "sense-at-pack",
  assess: ({ run }, limit) =>
    run.senseOhm === null ? null : within(1000 * run.senseOhm, { maximum: limit("maximum") }),
  seen: (observed) => `The voltage is sensed past ${observed}`,
  missing: "The voltage is sensed past leads of unknown resistance.",
  advice:
    "The drop was added. Sensing at the pack itself, for example at its balance lead, makes the figures more certain.",
};
