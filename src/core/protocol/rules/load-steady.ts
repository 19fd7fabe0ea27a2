import { mean } from "../../trace/series.js";
import { setCurrentOf } from "../load.js";
import { type Rule, type RunUnderTest, round } from "../rule.js";

/** The rise and the end are judged by rules of their own. */
const MARGIN_S = 1;
/** Means over this long are compared, so that a sensor's noise is not taken for unsteadiness. */
const WINDOW_S = 1;

export const LOAD_STEADY: Rule = {
  id: "load-steady",
  observes:
    "The largest deviation of the current from the set current, in means over 1 s, within the given share of the time. If the protocol sets a multiple of It, the mean current of the run takes the place of the set current, because another rule checks its level.",
  why: "Heat grows with the square of the current. A step counts for one current only if that current was held.",
  unit: "%",
  limits: {
    maximumPercent: "largest deviation allowed, %",
    leastTimePercent: "share of the time in which the deviation must be within the limit, %",
  },
  loads: ["set-current", "rate"],
  assess: (test, limit) => {
    const setA =
      test.protocol.load.kind === "rate"
        ? meanA(test)
        : setCurrentOf(test.protocol, test.pack, test.conditions.setpointA);
    if (setA === null || !(setA > 0)) return null;
    const deviations = deviationsFrom(test, setA).sort((a, b) => a.percent - b.percent);
    const kept = deviations[Math.ceil((limit("leastTimePercent") / 100) * deviations.length) - 1];
    if (!kept) return null;
    const maximum = limit("maximumPercent");
    const span = { fromS: kept.atS, toS: kept.atS + WINDOW_S };
    return { observed: kept.percent, passes: kept.percent <= maximum, limit: `<= ${round(maximum)}`, span };
  },
  seen: (observed) => `The current deviates from the set current by ${observed}`,
  missing: "The set current was not declared (setpointA), or the run is too short.",
  advice: "Use a load that holds its current. Declare the current that the load is set to and really draws.",
};

function meanA({ run }: RunUnderTest): number | null {
  const { endS } = run.stop;
  return endS > 0 ? mean(run.trace.time, run.trace.current, 0, endS) : null;
}

function deviationsFrom({ run }: RunUnderTest, setA: number): { percent: number; atS: number }[] {
  const { time, current } = run.trace;
  const from = (run.riseS ?? 0) + MARGIN_S;
  const windows = Math.floor((run.stop.endS - MARGIN_S - from) / WINDOW_S);
  return Array.from({ length: Math.max(0, windows) }, (_, i) => {
    const atS = from + i * WINDOW_S;
    return { percent: 100 * Math.abs(mean(time, current, atS, atS + WINDOW_S) / setA - 1), atS };
  });
}
