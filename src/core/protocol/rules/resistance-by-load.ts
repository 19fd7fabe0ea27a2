import { hypot } from "../../numerics/hypot.js";
import { COVERAGE_FACTOR } from "../../uncertainty/coverage-factor.js";
import { type LoadStep, loadSteps } from "../observe/load-steps.js";
import { halfWidth } from "../observe/stated-accuracy.js";
import { type Rule, type RunUnderTest, within } from "../rule.js";

/** A resistance below this many standard uncertainties is too little to compare with. */
const MIN_KNOWN = 3;
/** A cell this far above its settled voltage loses its surface charge in the first second, which looks like resistance, V. */
const SURFACE_VOLTS = 0.05;

export const RESISTANCE_BY_LOAD: Rule = {
  id: "resistance-by-load",
  observes:
    "The resistance at the step to the highest load plus its uncertainty, in % of the resistance at the step to the lowest load. A step is a rise of the current within the run. It is read from 0.9 to 0.4 s before and from 0.4 to 0.9 s after its middle.",
  why: "The resistance of a pack falls somewhat as it warms and as the load grows, but not to a fraction. A much lower value means that the voltage did not follow the load, for example because a sensor reached the end of its range.",
  unit: "%",
  limits: {
    minimumPercent: "lowest resistance at the high load, % of that at the low load",
    leastLevelRatio: "lowest ratio of the currents at the middle of the two steps",
  },
  loads: ["full", "two-pulse"],
  assess: (test, limit) => {
    const [minimum, leastLevelRatio] = [limit("minimumPercent"), limit("leastLevelRatio")];
    const steps = usable(test).sort((a, b) => a.levelA - b.levelA);
    const [low, high] = [steps[0], steps.at(-1)];
    if (!low || !high || high.levelA < leastLevelRatio * low.levelA) return null;
    if (low.ohm < MIN_KNOWN * low.uncertaintyOhm) return null;
    const ratio = high.ohm / low.ohm;
    const uncertainty = hypot(high.uncertaintyOhm, ratio * low.uncertaintyOhm) / low.ohm;
    const span = { fromS: Math.min(low.atS, high.atS), toS: Math.max(low.atS, high.atS) };
    return within(100 * (ratio + COVERAGE_FACTOR * uncertainty), { minimum }, span);
  },
  seen: (observed) => `At the higher load the resistance is at most ${observed} of that at the lower load`,
  missing: "The log does not have two load steps that are clear enough and far enough apart to compare resistances.",
  advice:
    "Check that the voltage sensor senses at the pack and is not at the end of its range. Check that voltage and current are sampled at the same time.",
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
