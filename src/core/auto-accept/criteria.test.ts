import { describe, expect, test } from "@jest/globals";
import {
  AUTO_ACCEPT_CRITERIA,
  type AutoAcceptFacts,
  type AutoAcceptLimits,
  criteriaMet,
  type RankedEffect,
} from "./criteria.js";

const LIMITS: AutoAcceptLimits = {
  moderatorAcceptances: 5,
  noRejectionDays: 90,
  accountDays: 30,
  otherTesters: 2,
  maxDeviationPercent: 5,
  maxPerDay: 3,
  sampleOneIn: 10,
};

const effect = (more: Partial<RankedEffect> = {}): RankedEffect => ({
  figure: "power-10s",
  load: 100,
  own: { value: 1000, uncertainty: 3 },
  others: { value: 1010, uncertainty: 4, testers: 2 },
  placeBefore: 2,
  placeAfter: 2,
  ...more,
});

/** Each limited fact just meets its limit; the figure is 10 W from the others', twice hypot(3, 4). */
const GOOD: AutoAcceptFacts = {
  isUntouched: true,
  verdict: "conforming-adjusted",
  isActiveVersion: true,
  failedAdvice: 0,
  isCompared: true,
  copies: 0,
  sameLogs: 0,
  withdrawnUnseen: 0,
  moderatorAcceptances: 5,
  blemishes: 0,
  accountDays: 30,
  isOwnPack: false,
  acceptedToday: 2,
  isSampled: false,
  effects: [effect(), effect({ figure: "capacity" })],
};

const unmet = (facts: AutoAcceptFacts, limits = LIMITS) =>
  criteriaMet(facts, limits)
    .filter(({ met }) => !met)
    .map(({ term }) => term);

const withEffect = (more: Partial<RankedEffect>) => ({ effects: [effect(), effect({ figure: "energy", ...more })] });

describe("the acceptance rule", () => {
  test("is met by a run that just meets every limit, and says what it saw", () => {
    expect(unmet(GOOD)).toEqual([]);
    const outcomes = criteriaMet(GOOD, LIMITS);
    expect(outcomes.map(({ term }) => term)).toEqual(AUTO_ACCEPT_CRITERIA);
    expect(outcomes.find(({ term }) => term === "agrees-with-others")).toMatchObject({ observed: 2, limit: 2 });
    expect(outcomes.find(({ term }) => term === "few-today")).toMatchObject({ observed: 3, limit: 3 });
  });

  const CASES: readonly [string, Partial<AutoAcceptFacts>, readonly string[]][] = [
    ["somebody has decided or asked", { isUntouched: false }, ["untouched"]],
    ["its protocol has a newer version", { isActiveVersion: false }, ["active-version"]],
    ["it does not conform", { verdict: "nonconforming" }, ["conforming"]],
    ["it was not evaluated", { verdict: null }, ["conforming"]],
    ["advice failed", { failedAdvice: 1 }, ["no-failed-advice"]],
    ["it was not compared yet", { isCompared: false }, ["compared"]],
    ["it looks like a copy", { copies: 1 }, ["no-copy"]],
    ["its log came before", { sameLogs: 1 }, ["new-log"]],
    ["its tester is new", { moderatorAcceptances: 4 }, ["accepted-by-moderators"]],
    ["its tester was rejected lately", { blemishes: 1 }, ["no-blemish"]],
    ["the account is young", { accountDays: 29 }, ["account-age"]],
    ["the pack is the tester's own", { isOwnPack: true }, ["pack-of-another"]],
    [
      "its protocol ranks nothing",
      { effects: [] },
      ["ranked-by-itself", "other-testers", "agrees-with-others", "near-others"],
    ],
    [
      "a ranked figure is missing",
      withEffect({ own: null }),
      ["ranked-by-itself", "agrees-with-others", "near-others"],
    ],
    [
      "nobody else measured the pack",
      withEffect({ others: null }),
      ["other-testers", "agrees-with-others", "near-others"],
    ],
    ["too few others did", withEffect({ others: { value: 1010, uncertainty: 4, testers: 1 } }), ["other-testers"]],
    ["one figure is an outlier", withEffect({ own: { value: 999.9, uncertainty: 3 } }), ["agrees-with-others"]],
    ["it is far away under a wide uncertainty", withEffect({ own: { value: 950, uncertainty: 500 } }), ["near-others"]],
    ["the pack would rise", withEffect({ placeAfter: 1 }), ["places-stay"]],
    ["the pack would fall, and lift another", withEffect({ placeAfter: 3 }), ["places-stay"]],
    ["the pack has no place yet", withEffect({ placeBefore: null }), ["places-stay"]],
    ["the tester's runs of the day are used up", { acceptedToday: 3 }, ["few-today"]],
    ["a run was withdrawn unseen", { withdrawnUnseen: 1 }, ["none-withdrawn-unseen"]],
    ["it is one of the sample", { isSampled: true }, ["not-sampled"]],
  ];
  test("counts the other testers of a figure at the load that most of them reach, and looks at agreement and places at each", () => {
    const lone = { value: 1010, uncertainty: 4, testers: 1 };
    const atBoth = (more: Partial<RankedEffect>) => ({ ...GOOD, effects: [effect(), effect({ load: 63, ...more })] });
    expect(unmet(atBoth({ others: lone }))).toEqual([]);
    expect(unmet(atBoth({ others: lone, figure: "capacity" }))).toEqual(["other-testers"]);
    expect(unmet(atBoth({ others: { ...lone, value: 1060 } }))).toEqual(["agrees-with-others", "near-others"]);
    expect(unmet(atBoth({ others: lone, placeAfter: 1 }))).toEqual(["places-stay"]);
    expect(unmet(atBoth({ others: null }))).toEqual(["agrees-with-others", "near-others"]);
  });

  test.each(CASES)("leaves a run to the moderators when %s", (_, facts, terms) => {
    expect(unmet({ ...GOOD, ...facts })).toEqual(terms);
  });

  test("has a case above for every term", () => {
    expect(new Set(CASES.flatMap(([, , terms]) => terms))).toEqual(new Set(AUTO_ACCEPT_CRITERIA));
  });
});
