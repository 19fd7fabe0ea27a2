import { pulsesOf } from "../load.js";
import { type Observation, type RunUnderTest, within } from "../rule.js";

type Which = "first" | "second";

/** Difference of a pulse's current from the protocol's, in % of it. */
export function pulseLevel({ protocol, pack, reads }: RunUnderTest, which: Which, maximum: number): Observation | null {
  const levels = pulsesOf(protocol, pack);
  const amps = reads.own.get(`${which}-pulse-current`)?.value;
  if (!levels || amps === undefined) return null;
  return within(100 * Math.abs(amps / levels[`${which}A`] - 1), { maximum });
}

/** How long a pulse was held, s. Half of the time between two samples, which its log leaves open, is allowed for. */
export function pulseLength(
  { reads, run }: RunUnderTest,
  which: Which,
  { minimum, maximum }: { minimum: number; maximum: number },
): Observation | null {
  const seconds = reads.own.get(`${which}-pulse-length`)?.value;
  if (seconds === undefined) return null;
  const open = 0.5 / run.summary.rateHz;
  const passes = within(seconds, { minimum: minimum - open, maximum: maximum + open }).passes;
  return { ...within(seconds, { minimum, maximum }), passes };
}
