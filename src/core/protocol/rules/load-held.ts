import { indexAtOrAfter } from "../../trace/series.js";
import { comesOnLate } from "../observe/late-load.js";
import { type Rule, type RunUnderTest, within } from "../rule.js";

/** The rise is judged by a rule of its own. */
const FROM_S = 1;

export const LOAD_HELD: Rule = {
  id: "load-held",
  observes:
    "The share of the time from 1 s, or from when the load has risen (`load-rise`), to the end in which the load was held. The load is held while the current is at least the given share of what the load at 10 s would draw at the present voltage. Loads of constant current or power draw more than that.",
  why: "A load that is eased or paused lets the pack recover. Power at the marks and capacity then do not belong together.",
  unit: "%",
  limits: {
    leastShare: "lowest share of that current that counts as held",
    minimumPercent: "lowest share of the time, %",
  },
  assess: (test, limit) => {
    const { trace, loadCurrentA, stop } = test.run;
    const { endS } = stop;
    const conductance = conductanceAt10s(test);
    const fromS = Math.max(FROM_S, comesOnLate(trace, loadCurrentA, endS)?.atS ?? 0);
    if (conductance === null || endS <= fromS) return null;
    const { held, worst } = heldShare(test, fromS, conductance * limit("leastShare"));
    return within(100 * held, { minimum: limit("minimumPercent") }, worst ?? { fromS, toS: endS });
  },
  seen: (observed) => `The load was held for ${observed} of the time`,
  missing: "The run ended before 10 s.",
  advice: "Hold the load from the start to the cutoff. Do not ease or pause it.",
};

function conductanceAt10s({ reads }: RunUnderTest): number | null {
  const [volts, amps] = [reads.own.get("voltage-10s")?.value, reads.own.get("current-10s")?.value];
  return volts === undefined || amps === undefined || !(volts > 0) ? null : amps / volts;
}

/** The share of time held, and the longest stretch that was not. */
function heldShare({ run }: RunUnderTest, fromS: number, least: number) {
  const { time, voltage, current } = run.trace;
  const { endS } = run.stop;
  let lost = 0;
  let since: number | null = null;
  let worst: { fromS: number; toS: number } | null = null;
  for (let i = indexAtOrAfter(time, fromS) + 1; i < time.length && (time[i] as number) <= endS; i++) {
    if ((current[i] as number) >= least * (voltage[i] as number)) {
      since = null;
      continue;
    }
    const [from, to] = [time[i - 1] as number, time[i] as number];
    lost += to - from;
    since ??= from;
    if (!worst || to - since > worst.toS - worst.fromS) worst = { fromS: since, toS: to };
  }
  return { held: 1 - lost / (endS - fromS), worst };
}
