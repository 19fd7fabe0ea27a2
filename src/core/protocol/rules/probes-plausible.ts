import { median } from "../../statistics/median.js";
import { indexAtOrAfter } from "../../trace/series.js";
import { type Rule, type RunUnderTest, within } from "../rule.js";

/** The probes are read over this long before the onset, or, of a log that begins under load, after its start, s. */
const READ_S = 1;
/** Where tests are run, when it was not declared (common practice), degC. */
const USUAL_AMBIENT_C = 25;

export const PROBES_PLAUSIBLE: Rule = {
  id: "probes-plausible",
  observes:
    "How far the temperature probes lie apart just before the load, and from the surroundings as declared (25 degC where they were not): highest less lowest.",
  why: "A rested pack is as warm as its surroundings, all over. A probe that reads something else is open, shorted or broken, and guards nothing.",
  unit: "K",
  limits: { maximum: "farthest apart, K" },
  assess: (test, limit) => {
    const readings = readingsAtRest(test);
    if (readings.length === 0) return null;
    const all = [...readings, test.conditions.ambientC ?? USUAL_AMBIENT_C];
    return within(Math.max(...all) - Math.min(...all), { maximum: limit("maximum") }, { fromS: -READ_S, toS: 0 });
  },
  seen: (observed) => `Before the load the temperature probes and the surroundings lie ${observed} apart`,
  missing: "The log has no temperature before the load.",
  advice:
    "A probe that reads so far off is open, shorted or broken: check its wires and its column, and do not load a pack that it is to guard before it reads right.",
};

/** Median of each probe that reads just before the load, degC. */
function readingsAtRest({ run }: RunUnderTest): number[] {
  const { time } = run.trace;
  const onset = indexAtOrAfter(time, 0);
  const before = indexAtOrAfter(time, -READ_S);
  // A slow log has its last sample before the load.
  const [from, to] = onset === 0 ? [0, indexAtOrAfter(time, READ_S)] : [Math.min(before, onset - 1), onset];
  return run.samples.probes.flatMap((probe) => {
    const known = probe.subarray(from, Math.max(to, from + 1)).filter(Number.isFinite);
    return known.length > 0 ? [median(known)] : [];
  });
}
