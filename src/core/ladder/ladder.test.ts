import { describe, expect, test } from "@jest/globals";
import { PACK } from "../../../test/support/facts.js";
import { ladderOf } from "./ladder.js";
import type { LadderStep } from "./step.js";
import { verifiedCurrent } from "./verified-current.js";

const LIMITS = { startTemperatureRangeK: 5, ambientRangeK: 5, days: 60, cycles: 30 };
const DAY = 86_400_000;

const step = (amps: number, passes: boolean, changes: Partial<LadderStep> = {}): LadderStep => ({
  runId: `${amps}`,
  current: { value: amps, uncertainty: 0.2 },
  passes,
  capacityMah: 4000,
  startC: 21,
  ambientC: 21,
  startedAt: 0,
  cycles: 10,
  ...changes,
});

const failed = (steps: LadderStep[]) =>
  ladderOf(steps, PACK, LIMITS)
    .findings.filter(({ outcome }) => outcome === "fail")
    .map(({ rule }) => rule);

describe("the verified continuous current", () => {
  // Common practice, no published source: steps of 80, 70, 65 and 60 A delivering 2860, 3700, 4037 and 4279 mAh, of which only
  // that of 60 A stays below the limit to the cutoff.
  const common = [
    step(80, false, { capacityMah: 2860 }),
    step(70, false, { capacityMah: 3700 }),
    step(65, false, { capacityMah: 4037 }),
    step(60, true, { capacityMah: 4279 }),
  ];

  test("is the highest passing step, with the lowest failing one as its upper bracket", () => {
    expect(verifiedCurrent(common)).toMatchObject({ value: 60, upperBracketA: 65, bound: "none" });
  });

  test("does not depend on the order of the steps", () => {
    const orders = [common, common.toReversed(), [common[2], common[0], common[3], common[1]] as LadderStep[]];
    const found = orders.map((steps) => ladderOf(steps, PACK, LIMITS));
    expect(found[1]).toEqual(found[0]);
    expect(found[2]).toEqual(found[0]);
  });

  test("in multiples of It is 12, a fifth of a label of 60", () => {
    const { figures } = ladderOf(common, PACK, LIMITS);
    expect(figures.map(({ key, value, unit }) => [key, value, unit])).toEqual([
      ["verified-current", 60, "A"],
      ["verified-c", 12, "C"],
      ["claim-share", 0.2, "ratio"],
    ]);
    const unclaimed = ladderOf(common, { ...PACK, labelContinuousC: null }, LIMITS);
    expect(unclaimed.figures.map(({ key }) => key)).toEqual(["verified-current", "verified-c"]);
  });

  test("is uncertain by the step's current and by the distance to the bracket, which U covers", () => {
    const { uncertainty } = verifiedCurrent(common);
    expect(uncertainty).toBeCloseTo(Math.hypot(0.2, 5 / Math.sqrt(3)), 12);
    expect(60 + 2 * uncertainty).toBeGreaterThan(65);
  });

  test("is at least the highest step when none fails", () => {
    expect(verifiedCurrent([step(50, true), step(60, true)])).toMatchObject({
      value: 60,
      bound: "lower",
      upperBracketA: null,
    });
  });

  test("is below the lowest step when none passes", () => {
    expect(verifiedCurrent([step(70, false), step(65, false)])).toMatchObject({ value: 65, bound: "upper" });
  });

  test("counts no step that passes at or above one that fails, and says so", () => {
    const steps = [step(55, true), step(60, false), step(60.3, true), step(70, true)];
    expect(verifiedCurrent(steps)).toMatchObject({ value: 55, upperBracketA: 60, bound: "none" });
    expect(failed(steps)).toEqual(["ladder-consistent"]);
    expect(ladderOf(steps, PACK, LIMITS).verified?.value).toBe(55);
  });

  test("is only a bound when the one passing step lies above a failing one", () => {
    expect(verifiedCurrent([step(60, false), step(70, true)])).toMatchObject({ value: 60, bound: "upper" });
  });

  test("needs a step", () => {
    expect(() => verifiedCurrent([])).toThrow(RangeError);
    expect(ladderOf([], PACK, LIMITS)).toMatchObject({ verified: null, figures: [] });
  });
});

describe("steps are refused as a ladder", () => {
  const pair = (changes: Partial<LadderStep>) => [step(60, true), step(65, false, changes)];
  test.each([
    ["ladder-start-temperature", { startC: 26.1 }, { startC: 26 }],
    ["ladder-ambient", { ambientC: 15.9 }, { ambientC: 16 }],
    ["ladder-days", { startedAt: 61 * DAY }, { startedAt: 60 * DAY }],
    ["ladder-cycles", { cycles: 41 }, { cycles: 40 }],
  ])("by %s beyond its limit, and not at it", (rule, beyond, at) => {
    expect(failed(pair(beyond))).toEqual([rule]);
    expect(ladderOf(pair(beyond), PACK, LIMITS)).toMatchObject({ verified: null, figures: [] });
    expect(failed(pair(at))).toEqual([]);
    expect(ladderOf(pair(at), PACK, LIMITS).verified?.value).toBe(60);
  });

  test.each([
    ["ladder-days", { startedAt: null }],
    ["ladder-cycles", { cycles: null }],
  ])("not by %s when it was not declared", (rule, changes) => {
    const { findings, verified } = ladderOf(pair(changes), PACK, LIMITS);
    expect(findings.find((finding) => finding.rule === rule)?.outcome).toBe("not-assessable");
    expect(verified?.value).toBe(60);
  });

  test("without a step there is nothing to judge, and no declaration is blamed", () => {
    const { findings } = ladderOf([], PACK, LIMITS);
    const ranges = findings.filter(({ rule }) => rule !== "ladder-consistent");
    expect(new Set(ranges.map(({ outcome }) => outcome))).toEqual(new Set(["not-assessable"]));
    for (const { message } of ranges) expect(message).toMatch(/no step yet/);
  });

  test("with a message that says what was seen, what is required and what to do", () => {
    const { findings } = ladderOf(pair({ ambientC: 15 }), PACK, LIMITS);
    const message = findings.find(({ rule }) => rule === "ladder-ambient")?.message;
    expect(message).toMatch(/differs by 6 K.*Required: <= 5 K\..*Repeat the steps/);
  });
});
