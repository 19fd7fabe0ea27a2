import { type LoadStep, loadSteps } from "../observe/load-steps.js";
import { halfWidth } from "../observe/stated-accuracy.js";
import { type Rule, type RunUnderTest, within } from "../rule.js";

/** U = 2 u: what people are shown, and what has to be beyond the limit here. */
const COVERAGE = 2;
/** A resistance below this many standard uncertainties is too little to compare with. */
const MIN_KNOWN = 3;
/** A cell this far above its settled voltage loses its surface charge in the first second, which looks like resistance, V. */
const SURFACE_VOLTS = 0.05;

export const RESISTANCE_BY_LOAD: Rule = {
  id: "resistance-by-load",
  observes:
    "Resistance at the step to the highest load, plus its uncertainty, in % of that at the step to the lowest one. Steps are rises of the current within the run; both are read alike, from 0.9 to 0.4 s before to 0.4 to 0.9 s after.",
  why: "A pack's resistance falls somewhat as it warms and as the load grows, but not to a fraction: then the voltage did not follow the load, as when a sensor is at the end of its range.",
  unit: "%",
  limits: {
    minimumPercent: "least resistance at the high load, % of that at the low one",
    leastLevelRatio: "how far apart the middles of both steps must be, as a ratio of currents",
  },
  loads: ["full", "two-pulse"],
  assess: (test, limit) => {
    const [minimum, leastLevelRatio] = [limit("minimumPercent"), limit("leastLevelRatio")];
    const steps = usable(test).sort((a, b) => a.levelA - b.levelA);
    const [low, high] = [steps[0], steps.at(-1)];
    if (!low || !high || high.levelA < leastLevelRatio * low.levelA) return null;
    if (low.ohm < MIN_KNOWN * low.uncertaintyOhm) return null;
    const ratio = high.ohm / low.ohm;
    const uncertainty = Math.hypot(high.uncertaintyOhm, ratio * low.uncertaintyOhm) / low.ohm;
    const span = { fromS: Math.min(low.atS, high.atS), toS: Math.max(low.atS, high.atS) };
    return within(100 * (ratio + COVERAGE * uncertainty), { minimum }, span);
  },
  seen: (observed) => `At the higher load the resistance is at most ${observed} of that at the lower one`,
  missing: "The load has no two steps that are far enough apart and plain enough to compare resistances.",
  advice:
    "Check that the voltage sensor is not at the end of its range, that it is sensed at the pack, and that voltage and current are sampled at the same instants.",
};

/** The steps from which a resistance can be read: not the first one of a pack that still has its surface charge. */
function usable({ run, pack, cell, bench }: RunUnderTest): LoadStep[] {
  const { rest, trace, loadCurrentA, stop } = run;
  const isCharged = rest !== null && rest.volts / pack.series > cell.settled + SURFACE_VOLTS;
  const stated = {
    volts: halfWidth(bench.voltage, pack.series * cell.nominal),
    amperes: halfWidth(bench.current, loadCurrentA),
  };
  return loadSteps(trace, loadCurrentA, stop.endS, stated).filter(({ atS }) => atS > 0.5 || !isCharged);
}
