import { pulsesOf } from "../load.js";
import { type Rule, within } from "../rule.js";

type Which = "first" | "second";

/** Difference of a pulse's current from the protocol's, in % of it. */
const levelRule = (which: Which): Rule => ({
  id: `${which}-pulse-level`,
  assess: ({ protocol, pack, reads }, limit) => {
    const levels = pulsesOf(protocol, pack);
    const amps = reads.own.get(`${which}-pulse-current`)?.value;
    if (!levels || amps === undefined) return null;
    return within(100 * Math.abs(amps / levels[`${which}A`] - 1), { maximum: limit("maximumPercent") });
  },
  seen: (observed) => `The current of the ${which} pulse differs from the protocol's by ${observed}`,
  missing: `The log has no ${which} pulse, or too short a one.`,
  advice: "Draw 0.2 It and then 1 It, the rated capacity in Ah taken as a current in A.",
});

/** How long a pulse was held. */
const lengthRule = (which: Which): Rule => ({
  id: `${which}-pulse-length`,
  assess: ({ reads }, limit) => {
    const seconds = reads.own.get(`${which}-pulse-length`)?.value;
    return seconds === undefined ? null : within(seconds, { minimum: limit("minimum"), maximum: limit("maximum") });
  },
  seen: (observed) => `The ${which} pulse lasts ${observed}`,
  missing: "The current does not go from a first level to a second one: there are no two pulses.",
  advice: "Hold the first current for 10 s, go to the second one at once, and hold that for a little more than 1 s.",
});

export const FIRST_PULSE_LEVEL = levelRule("first");
export const FIRST_PULSE_LENGTH = lengthRule("first");
export const SECOND_PULSE_LEVEL = levelRule("second");
export const SECOND_PULSE_LENGTH = lengthRule("second");
