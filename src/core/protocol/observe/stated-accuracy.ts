import type { Accuracy } from "../../model.js";
import { type Observation, within } from "../rule.js";

/** Half-width of an instrument's stated accuracy at a reading, against the widest allowed and the least that is believable. */
export function statedAccuracy(stated: Accuracy, reading: number, limit: (name: string) => number): Observation {
  const allowed = halfWidth({ percent: limit("percent"), offset: limit("offset") }, reading);
  const least = (limit("leastPercent") / 100) * reading;
  return within(halfWidth(stated, reading), { minimum: least, maximum: allowed });
}

/** Half-width of an instrument's stated accuracy at a reading, in the unit of the reading. */
export const halfWidth = (accuracy: Accuracy, reading: number): number =>
  (accuracy.percent / 100) * reading + accuracy.offset;
