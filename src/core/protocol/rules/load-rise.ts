import { comesOnLate } from "../observe/late-load.js";
import { type Rule, round, within } from "../rule.js";

export const LOAD_RISE: Rule = {
  id: "load-rise",
  observes:
    "The time in which the current rises from 10 % to 90 % of the load current. A load that draws more than 1.5 times as much within its first minute has risen only then, as after a spin-up.",
  why: "A load that comes on slowly warms and discharges the pack before the marks are read.",
  unit: "s",
  limits: { maximum: "longest rise time allowed, s" },
  assess: ({ run, protocol }, limit) => {
    if (run.riseS === null) return null;
    const late = protocol.load.kind === "two-pulse" ? null : comesOnLate(run.trace, run.loadCurrentA, run.stop.endS);
    if (!late || late.atS <= run.riseS)
      return within(run.riseS, { maximum: limit("maximum") }, { fromS: -run.riseS, toS: run.riseS });
    const place = `at first it is ${round(100 * late.share)} % of what it becomes, so the load did not come on at once from rest`;
    return { ...within(late.atS, { maximum: limit("maximum") }, { fromS: 0, toS: late.atS }), place };
  },
  seen: (observed) => `The current rises in ${observed}`,
  missing: "The log starts under load, so the rise of the current is unknown.",
  advice: "Start the log before the load, and switch the load on at once.",
};
