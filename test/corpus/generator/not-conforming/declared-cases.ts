import type { BenchFacts, RunConditions } from "../../../../src/core/model.js";
import type { Case } from "./cases.js";
import type { Draft } from "./draft.js";
import { FULL_LOAD, LADDER, RATED, TWO_PULSE } from "./runs.js";

const stated = (draft: Draft, facts: Partial<BenchFacts>): Draft => ({
  ...draft,
  stated: { ...draft.stated, ...facts },
});
const declared = (draft: Draft, conditions: Partial<RunConditions>): Draft => ({
  ...draft,
  conditions: { ...draft.conditions, ...conditions },
});
const LEADS = { point: "lead", resistanceMilliohm: 1.5 } as const;
const { stateOfChargePercent: _, ...withoutCharge } = TWO_PULSE.conditions;

/** What the tester declared of bench, pack and preparation. */
export const DECLARED_CASES: readonly Case[] = [
  {
    fails: ["sense-known"],
    shows: "the voltage is sensed past leads of which nothing is known",
    draft: stated(FULL_LOAD, { sense: { point: "lead" } }),
  },
  {
    fails: ["sense-at-pack"],
    shows: "the voltage is sensed past 1.5 mohm of leads, which are declared",
    draft: {
      ...stated(FULL_LOAD, { sense: LEADS }),
      bench: { ...FULL_LOAD.bench, facts: { ...FULL_LOAD.bench.facts, sense: LEADS } },
    },
  },
  {
    fails: ["voltage-accuracy"],
    shows: "a voltmeter of 1 % and 50 mV",
    draft: stated(FULL_LOAD, { voltage: { percent: 1, offset: 0.05 } }),
  },
  {
    fails: ["current-accuracy"],
    shows: "a clip-on ammeter of 4 % and 1.5 A",
    draft: stated(FULL_LOAD, { current: { percent: 4, offset: 1.5 } }),
  },
  {
    fails: ["temperature-accuracy"],
    shows: "a probe of 5 K on a step of a ladder",
    draft: stated(LADDER, { temperature: { offset: 5 } }),
  },
  {
    fails: ["rest-time"],
    shows: "loaded three minutes after the charge",
    draft: declared(FULL_LOAD, { restMinutes: 3 }),
  },
  {
    fails: ["rest-at-most"],
    shows: "loaded six hours after the charge, where four are allowed",
    draft: declared(RATED, { restMinutes: 360 }),
  },
  {
    fails: ["charge-state-declared"],
    shows: "two pulses without a declared state of charge",
    draft: { ...TWO_PULSE, conditions: withoutCharge },
  },
];
