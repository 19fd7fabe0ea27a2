import { indexAtOrAfter } from "../../trace/series.js";
import { repeatedStretch } from "../observe/repeated-stretch.js";
import { type Rule, within } from "../rule.js";

export const REPEATED_STRETCH: Rule = {
  id: "repeated-stretch",
  observes:
    "Samples in the longest stretch under load that comes again later in the log, number by number, in voltage and current, and in which both change together often enough that chance is out of the question.",
  why: "No measurement repeats itself to the last digit: such a log was put together, or its logger wrote old rows again.",
  unit: "1",
  limits: {
    maximum: "most samples",
    fewestChanges: "changes of both channels at once from which on a repetition counts",
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
  advice:
    "Upload the log of one run as the logger wrote it, and check that the logger does not write its buffer twice.",
};
