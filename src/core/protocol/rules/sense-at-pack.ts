import { type Rule, within } from "../rule.js";

export const SENSE_AT_PACK: Rule = {
  id: "sense-at-pack",
  observes:
    "The resistance between the terminals of the pack and the sense point. Its voltage drop is added to the voltage.",
  why: "A corrected voltage is less certain than a voltage that is sensed at the pack.",
  unit: "mohm",
  limits: { maximum: "largest resistance without a remark, mohm" },
  assess: ({ run }, limit) =>
    run.senseOhm === null ? null : within(1000 * run.senseOhm, { maximum: limit("maximum") }),
  seen: (observed) => `The resistance between the pack and the sense point is ${observed}`,
  missing: "The resistance between the pack and the sense point is unknown.",
  advice:
    "The drop was added. Sensing at the pack, for example at the balance connector, makes the figures more certain.",
};
