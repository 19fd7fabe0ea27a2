import type { DischargePlan } from "../../../../seed/simulator/discharge.js";
import type { Case } from "./cases.js";
import type { Draft } from "./draft.js";
import { FULL_LOAD, inside } from "./runs.js";

const planned = (plan: Partial<DischargePlan>, more: Partial<Draft> = {}): Draft => ({
  ...FULL_LOAD,
  ...more,
  plan: { ...FULL_LOAD.plan, ...plan },
});
const { demand, stop } = FULL_LOAD.plan;
const surroundings = (ambientC: number) => ({ conditions: { ...FULL_LOAD.conditions, ambientC } });

/** What the tester did with the pack and the load. */
export const RUN_CASES: readonly Case[] = [
  {
    fails: ["full-charge"],
    shows: "a tenth of the charge is missing at the start",
    draft: planned({ chargeMissingC: 1800 }),
  },
  {
    fails: ["start-temperature"],
    shows: "a pack from a cold car in a room of 16 degC",
    draft: planned({ startC: 9, ambientC: 16 }, surroundings(16)),
  },
  {
    fails: ["ambient-temperature"],
    shows: "outdoors at 11 degC, with a pack from indoors",
    draft: planned({ startC: 17.5, ambientC: 11 }, surroundings(11)),
  },
  {
    fails: ["start-above-ambient"],
    shows: "a pack warmed to 33 degC in a room of 21",
    draft: planned({ startC: 33 }),
  },
  {
    fails: ["load-rise"],
    shows: "the throttle was opened over two seconds",
    draft: planned({ demand: { ...demand, riseSeconds: 2 } }),
  },
  {
    fails: ["load-held"],
    shows: "the load was eased to a third from 60 s on",
    draft: planned({ demand: { ...demand, steps: [{ fromSeconds: 120, level: 0.45 }] } }),
  },
  {
    fails: ["cutoff-reached"],
    shows: "stopped at 3.58 V per cell, long before the cutoff",
    draft: planned({ stop: { ...stop, volts: 14.32 } }),
  },
  {
    fails: ["cutoff-depth"],
    shows: "the load stayed on for some seconds below the cutoff",
    draft: planned({ stop: { ...stop, volts: 13.2, delaySeconds: 4 } }),
  },
  {
    fails: ["recovery-logged"],
    shows: "the logger was stopped two seconds after the load",
    draft: planned({ afterSeconds: 2 }),
  },
  {
    fails: ["temperature-warning"],
    shows: "a poor pack that gets warmer than 60 degC",
    draft: planned({ startC: 30, ambientC: 28, pack: inside(5, 10.5) }, surroundings(28)),
  },
  {
    fails: ["temperature-limit", "temperature-warning"],
    shows: "a worn pack that gets hotter than 70 degC",
    draft: planned({ startC: 34.5, ambientC: 30, pack: inside(5, 13) }, surroundings(30)),
  },
  {
    fails: ["full-charge", "rest-time"],
    shows: "taken from the charger too early and loaded at once",
    draft: planned({ chargeMissingC: 1800 }, { conditions: { ...FULL_LOAD.conditions, restMinutes: 1 } }),
  },
];
