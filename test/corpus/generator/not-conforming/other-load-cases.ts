import type { DischargePlan } from "../../../../seed/simulator/discharge.js";
import type { Case } from "./cases.js";
import type { Draft } from "./draft.js";
import { IT_A, inside, LADDER, RATED, TWO_PULSE } from "./runs.js";

const planned = (draft: Draft, plan: Partial<DischargePlan>): Draft => ({ ...draft, plan: { ...draft.plan, ...plan } });
const pulses = (steps: readonly (readonly [fromSeconds: number, It: number])[], latestSeconds: number, first = 0.2) =>
  planned(TWO_PULSE, {
    demand: {
      ...TWO_PULSE.plan.demand,
      level: first * IT_A,
      steps: steps.map(([fromSeconds, it]) => ({ fromSeconds, level: it * IT_A })),
    },
    stop: { ...TWO_PULSE.plan.stop, latestSeconds },
  });

/** Current that makes a poor pack hot before it is empty, A. */
const HOT_A = 90;

/** Loads of one constant current, or of two. */
export const OTHER_LOAD_CASES: readonly Case[] = [
  {
    fails: ["load-steady"],
    shows: "a step of a ladder whose current sways by 4 %",
    draft: {
      ...LADDER,
      edit: (rows) =>
        rows.map((row) => ({ ...row, current: row.current * (1 + 0.04 * Math.sin((2 * Math.PI * row.time) / 20)) })),
    },
  },
  {
    fails: ["step-ended"],
    shows: "a step of a ladder that was stopped by hand",
    draft: planned(LADDER, { stop: { ...LADDER.plan.stop, latestSeconds: 150 } }),
  },
  {
    fails: ["temperature-limit"],
    shows: "a step of a ladder that went on to 72 degC",
    draft: {
      ...planned(LADDER, {
        pack: inside(5, 17),
        demand: { ...LADDER.plan.demand, level: HOT_A },
        stop: { ...LADDER.plan.stop, celsius: 72 },
        startC: 32,
        ambientC: 30,
      }),
      conditions: { ...LADDER.conditions, ambientC: 30, setpointA: HOT_A },
    },
  },
  {
    fails: ["load-rate"],
    shows: "a rated capacity at a current 12 % too high",
    draft: planned(RATED, { demand: { ...RATED.plan.demand, level: 1.12 } }),
  },
  {
    fails: ["first-pulse-level"],
    shows: "the first pulse is 0.23 It",
    draft: pulses([[10, 1]], 11.3, 0.23),
  },
  {
    fails: ["first-pulse-length"],
    shows: "the second pulse comes after 8 s",
    draft: pulses([[8, 1]], 9.3),
  },
  {
    fails: ["second-pulse-rise"],
    shows: "the second pulse comes in steps over half a second",
    draft: pulses(
      [
        [10, 0.55],
        [10.06, 0.65],
        [10.2, 0.8],
        [10.34, 1],
      ],
      11.4,
    ),
  },
  {
    fails: ["second-pulse-level"],
    shows: "the second pulse is 1.1 It",
    draft: pulses([[10, 1.1]], 11.3),
  },
  {
    fails: ["second-pulse-length"],
    shows: "the second pulse was held for four seconds",
    draft: pulses([[10, 1]], 14),
  },
];
