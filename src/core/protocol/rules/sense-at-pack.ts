import { type Rule, within } from "../rule.js";

export const SENSE_AT_PACK: Rule = {
  id: "sense-at-pack",
  observes: "Resistance between the pack's terminals and the sense point; its drop is added to the voltage.",
  why: "A drop that has to be added is known less well than a voltage that is sensed at the pack.",
  unit: "mohm",
  limits: { maximum: "largest resistance that needs no remark, mohm" },
  assess: ({ run }, limit) =>
    run.senseOhm === null ? null : within(1000 * run.senseOhm, { maximum: limit("maximum") }),
  seen: (observed) => `The voltage is sensed past ${observed}`,
  missing: "The voltage is sensed past leads of unknown resistance.",
  advice:
    "The drop was added. Sensing at the pack itself, for example at its balance lead, makes the figures more certain.",
};
