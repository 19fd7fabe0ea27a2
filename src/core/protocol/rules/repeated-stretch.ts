import { indexAtOrAfter } from "../../trace/series.js";
import { repeatedStretch } from "../observe/repeated-stretch.js";
import { type Rule, within } from "../rule.js";

export const REPEATED_STRETCH: Rule = {
  id: "repeated-stretch",
  observes:
    "The number of samples in the longest stretch under load that occurs again later with exactly the same voltages and currents. A stretch counts only if both channels change together too often for chance.",
  why: "A measurement never repeats itself to the last digit. Such a log was assembled, or the logger wrote old rows again.",
  unit: "samples",
  limits: {
    maximum: "largest number of repeated samples",
    fewestChanges: "number of joint changes of both channels from which a repetition counts",
  },
  assess: ({ run }, limit) => {
    const { voltage, current } = run.samples;
    const clock = run.trace.time;
    const [from, to] = [indexAtOrAfter(clock, 0), indexAtOrAfter(clock, run.stop.endS)];
    const found = repeatedStretch(voltage, current, from, to, limit("fewestChanges"));
    if (!found) return within(0, { maximum: limit("maximum") });
    const last = clock[found.againAt + found.samples - 1] as number;
    return within(found.samples, { maximum: limit("maximum") }, { fromS: clock[found.againAt] as number, toS: last });
  },
  seen: (observed) => `Samples that repeat earlier ones to the last digit: ${observed}`,
  missing: null,
  advice: "Upload the log of one run as the logger wrote it. Check that the logger does not write its buffer twice.",
};
