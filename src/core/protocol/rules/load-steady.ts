import { indexAtOrAfter, mean } from "../../trace/series.js";
import { setCurrentOf } from "../load.js";
import { type Rule, type RunUnderTest, round } from "../rule.js";

/** The rise and the end are judged by rules of their own. */
const MARGIN_S = 1;
/** Means over this long are compared, so that a sensor's noise is not taken for unsteadiness. */
const WINDOW_S = 1;
/** A sensor that reads one number in so many samples stands on it (common practice). */
const MIN_HELD_SAMPLES = 8;
/** Numbers that differ by no more than this, relatively, have the same digits. */
const SAME_VALUE = 1e-9;

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
    const observation = {
      observed: kept.percent,
      passes: kept.percent <= maximum,
      limit: `<= ${round(maximum)}`,
      span,
    };
    const stands = standsAt(test);
    if (observation.passes || stands === null || stands.amperes >= setA) return observation;
    const place = `the current stands at ${round(stands.amperes)} A in all ${stands.samples} samples between, below the set current of ${round(setA)} A`;
    return { ...observation, place, advice: ADVICE_ON_RANGE };
  },
  seen: (observed) => `The current deviates from the set current by ${observed}`,
  missing: "The set current was not declared (setpointA), or the run is too short.",
  advice: "Use a load that holds its current. Declare the current that the load is set to and really draws.",
};

const ADVICE_ON_RANGE =
  "The range of the current sensor may end there: set a wider range and test again. If the load drew no more, declare what it drew as the set current.";

/** The one number that a current sensor reads all the way, A; null where it reads others too. */
function standsAt({ run }: RunUnderTest): { readonly amperes: number; readonly samples: number } | null {
  const { time } = run.trace;
  const from = indexAtOrAfter(time, (run.riseS ?? 0) + MARGIN_S);
  const to = indexAtOrAfter(time, run.stop.endS - MARGIN_S);
  const read = run.samples.current.subarray(from, to);
  const [amperes] = read;
  if (amperes === undefined || read.length < MIN_HELD_SAMPLES) return null;
  return read.every((value) => Math.abs(value - amperes) <= SAME_VALUE * amperes)
    ? { amperes, samples: read.length }
    : null;
}

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
