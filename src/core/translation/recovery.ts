import type { Trace } from "../model.js";
import { fitLine } from "../statistics/line.js";
import { indexAtOrAfter, mean, valueAt } from "../trace/series.js";

const BEFORE_S = 0.5;
const AFTER_S = 1;
const HALF_WINDOW_S = 0.5;
const FULL_SHARE = 0.9;

/**
 * Resistance at the end of a run, ohm: the voltage that comes back within 1 s of the load's removal (mean from 0.5 to 1.5 s
 * after) over the current that went away; the counterpart of the resistance at 1 s, with the pack warm and nearly empty.
 * null when the log does not go on for so long, or the load was not removed.
 */
export function recoveryOhm({ time, voltage, current }: Trace, loadEndS: number): number | null {
  const amps = mean(time, current, loadEndS - 2 * BEFORE_S, loadEndS - BEFORE_S / 2);
  let full = indexAtOrAfter(time, loadEndS);
  while (full > 0 && (current[full] as number) < FULL_SHARE * amps) full--;
  const removedS = time[full] as number;
  const untilS = removedS + AFTER_S + HALF_WINDOW_S;
  if ((time[time.length - 1] as number) < untilS) return null;
  const left = mean(time, current, untilS - 2 * HALF_WINDOW_S, untilS);
  if (left > (1 - FULL_SHARE) * amps) return null;
  const line = fitLine(time, voltage, indexAtOrAfter(time, removedS - BEFORE_S), full + 1);
  const before = line ? line.intercept + line.slope * removedS : valueAt(time, voltage, removedS);
  return (mean(time, voltage, untilS - 2 * HALF_WINDOW_S, untilS) - before) / (amps - left);
}
