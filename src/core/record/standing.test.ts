import { describe, expect, test } from "@jest/globals";
import fc from "fast-check";
import { expanded } from "./brake.js";
import { heldAgree, heldTesters } from "./holds.js";
import { DEFAULT_POLICY } from "./policy.js";
import { type RankedResult, type RecordStanding, recordStanding, type StandingRules } from "./standing.js";
import { isReference, statusAt, type TesterStatus } from "./status.js";

const SD = 0.0095;
const RULES: StandingRules = { policy: DEFAULT_POLICY, relativeSd: SD, confirmed: null, mayBeEstablished: true };

let number = 0;
const result = (status: TesterStatus, value: number, more: Partial<RankedResult> = {}): RankedResult => ({
  testerId: `tester ${++number}`,
  value,
  uncertainty: 0.006 * value,
  degreesOfFreedom: null,
  parts: [],
  common: 0,
  recordUncertainty: 0,
  status,
  runs: 1,
  decision: null,
  ...more,
});
const many = (count: number, status: TesterStatus, value: number) =>
  Array.from({ length: count }, () => result(status, value));
const founders = [result("vouched", 1000), result("settled", 1004), result("established", 997)];
const standing = (results: readonly RankedResult[], rules: Partial<StandingRules> = {}): RecordStanding => {
  const found = recordStanding(results, { ...RULES, ...rules });
  if (!found) throw new Error("there is no standing");
  return found;
};

describe("a standing", () => {
  test("is established by three established testers, two of them reference testers", () => {
    expect(standing(founders)).toMatchObject({ established: true, testers: 3, testersBeside: 0, disputed: false });
    const oneReference = [result("vouched", 1000), ...many(5, "established", 1000)];
    expect(standing(oneReference)).toMatchObject({ established: false, testers: 6 });
    expect(standing([...many(2, "vouched", 1000), ...many(9, "new", 1030)])).toMatchObject({
      established: false,
      testers: 11,
    });
  });

  test("is made by established testers alone, the others being shown beside it", () => {
    const alone = standing(founders);
    const crowd = standing([...founders, ...many(10, "new", 1050)]);
    expect(crowd).toMatchObject({ value: alone.value, uncertainty: alone.uncertainty, testers: 3, testersBeside: 10 });
  });

  test("is established as the policy of the service says", () => {
    const club = { ...DEFAULT_POLICY, testers: 2, referenceTesters: 1 };
    const two = [result("vouched", 1000), result("established", 1001)];
    expect(standing(two, { policy: club }).established).toBe(true);
    expect(standing(two, { policy: { ...club, vouchedOnly: true } }).established).toBe(false);
    expect(standing(many(2, "vouched", 1000), { policy: { ...club, vouchedOnly: true } }).established).toBe(true);
    expect(standing(founders, { mayBeEstablished: false }).established).toBe(false);
  });

  test("has none of runs that were all withdrawn", () => {
    expect(
      recordStanding(
        founders.map((one) => ({ ...one, runs: 0 })),
        RULES,
      ),
    ).toBeNull();
    expect(recordStanding([], RULES)).toBeNull();
  });
});

describe("a hold", () => {
  test("keeps a result further than three standard uncertainties out of the value, until a moderator lets it count", () => {
    const far = result("established", 1050);
    const kept = standing([...founders, far]);
    expect(kept).toMatchObject({ testers: 3, testersBeside: 1, heldTesterIds: [far.testerId] });
    expect(standing([...founders, { ...far, decision: "counts" }])).toMatchObject({ testers: 4, heldTesterIds: [] });
    expect(standing([...founders, { ...far, decision: "beside" }])).toMatchObject({ testers: 3, heldTesterIds: [] });
  });

  test("does not let newcomers hold up reference testers, however many they are", () => {
    const puppets = many(10, "established", 1045);
    expect(standing([...founders, ...puppets]).heldTesterIds).toEqual(puppets.map(({ testerId }) => testerId));
  });

  test("leaves what agrees alone, in any order", () => {
    fc.assert(
      fc.property(
        fc.array(fc.double({ min: 995, max: 1005, noNaN: true }), { minLength: 3, maxLength: 12 }),
        (values) => {
          const some = values.map((value) => ({ ...result("vouched", value), isReference: true }));
          expect(heldTesters(some, SD, new Set()).size).toBe(0);
        },
      ),
    );
    fc.assert(
      fc.property(
        fc.array(fc.double({ min: 950, max: 1050, noNaN: true }), { minLength: 3, maxLength: 9 }),
        (values) => {
          const some = values.map((value, i) => ({ ...result("vouched", value), isReference: i % 2 === 0 }));
          expect([...heldTesters(some.toReversed(), SD, new Set())].sort()).toEqual(
            [...heldTesters(some, SD, new Set())].sort(),
          );
        },
      ),
    );
  });

  test("of three that agree says that the value may be wrong", () => {
    expect(heldAgree(many(3, "established", 1050), SD)).toBe(true);
    expect(heldAgree(many(2, "established", 1050), SD)).toBe(false);
    expect(heldAgree([result("new", 1050), result("new", 1100), result("new", 950)], SD)).toBe(false);
  });
});

describe("the brake", () => {
  /** What an attack leaves after many uploads, each time with what was confirmed before. */
  function attacked(honest: readonly RankedResult[], puppets: readonly RankedResult[]) {
    const before = standing(honest);
    let now = before;
    puppets.forEach((_, i) => {
      now = standing([...honest, ...puppets.slice(0, i + 1)], { confirmed: now.confirmed });
    });
    return { before, now };
  }

  test("lets no number of established puppets move a value by more than U/2 past its reference testers'", () => {
    for (const share of [0.003, 0.006, 0.01, 0.015, 0.02, 0.03, 0.05]) {
      for (const count of [1, 3, 10]) {
        const { before, now } = attacked(
          founders.map((one) => ({ ...one, status: "settled" as const })),
          many(count, "established", 1000 * (1 + share)),
        );
        expect(Math.abs(now.value - before.value)).toBeLessThanOrEqual(expanded(before) / 2 + 1e-9);
      }
    }
  });

  test("lets no number of settled ones move it by more than U without a moderator", () => {
    for (const share of [0.003, 0.006, 0.01, 0.015, 0.02, 0.03, 0.05]) {
      for (const count of [1, 3, 10]) {
        const { before, now } = attacked(founders, many(count, "settled", 1000 * (1 + share)));
        expect(Math.abs(now.value - before.value)).toBeLessThanOrEqual(expanded(before) + 1e-9);
      }
    }
  });

  test("is not let go by making the standing provisional and established anew", () => {
    const { before, now } = attacked(founders, many(6, "settled", 1012));
    expect(now.disputed).toBe(true);
    expect(Math.abs(now.value - before.value)).toBeLessThanOrEqual(0.3 * expanded(before) + 1e-9);
    expect(now.computedValue).toBeGreaterThan(before.value);
    const provisional = standing([...founders.slice(0, 1), ...many(1, "settled", 1012)], { confirmed: now.confirmed });
    expect(provisional).toMatchObject({ established: false, confirmed: now.confirmed });
    const again = standing([...founders.slice(0, 1), ...many(6, "settled", 1012)], {
      confirmed: provisional.confirmed,
    });
    expect(Math.abs(again.value - before.value)).toBeLessThanOrEqual(expanded(before));
  });

  test("holds a first value against the reference testers'", () => {
    const first = standing([result("vouched", 1000), result("vouched", 1001), ...many(8, "established", 1018)]);
    expect(first).toMatchObject({ established: true, disputed: true });
    expect(Math.abs(first.value - 1000.5)).toBeLessThanOrEqual(expanded(first) / 4 + 1e-9);
  });

  test("leaves a value where the same results, computed again with what it confirmed, leave it", () => {
    const statuses: readonly TesterStatus[] = ["vouched", "settled", "established"];
    const newcomer = fc.record({
      status: fc.constantFrom(...statuses),
      value: fc.double({ min: 980, max: 1030, noNaN: true }),
    });
    fc.assert(
      fc.property(fc.array(newcomer, { minLength: 1, maxLength: 8 }), (newcomers) => {
        const all = [...founders];
        let { confirmed } = standing(all);
        for (const { status, value } of newcomers) {
          all.push(result(status, value));
          const now = standing(all, { confirmed });
          expect(standing(all, { confirmed: now.confirmed })).toEqual(now);
          ({ confirmed } = now);
        }
      }),
    );
  });

  test("keeps a standing its place when so many results are held that too few would be left", () => {
    const { now } = attacked(founders, many(4, "settled", 1022));
    expect(now.established).toBe(true);
  });

  test("follows what a moderator decides, as long as nothing moves", () => {
    const crowd = [...founders, ...many(6, "settled", 1012)];
    const { now } = attacked(founders, many(6, "settled", 1012));
    const confirmed = now.confirmed as NonNullable<typeof now.confirmed>;
    const computed = now.computedValue as number;
    const kept = standing(crowd, { confirmed: { ...confirmed, keptValue: computed } });
    expect(kept).toMatchObject({ disputed: false, value: now.value, computedValue: expect.closeTo(computed, 6) });
    const accepted = standing(crowd, { confirmed: { ...confirmed, value: computed, byModerator: true } });
    expect(accepted).toMatchObject({ disputed: false, value: expect.closeTo(computed, 6), computedValue: null });
    const further = standing([...crowd, ...many(9, "settled", 1025)], {
      confirmed: { ...confirmed, value: computed, byModerator: true },
    });
    expect(Math.abs(further.value - computed)).toBeLessThanOrEqual(expanded(confirmed));
  });
});

test("a tester is settled when established for 180 days, and vouched for at once", () => {
  const now = Date.UTC(2026, 6, 1);
  const since = (days: number) => statusAt({ vouchedAt: null, establishedSince: now - days * 86_400_000 }, now);
  expect([since(0), since(179.9), since(180)]).toEqual(["established", "established", "settled"]);
  expect(statusAt({ vouchedAt: now, establishedSince: null }, now)).toBe("vouched");
  expect(statusAt({ vouchedAt: null, establishedSince: null }, now)).toBe("new");
  expect(["new", "established", "settled", "vouched"].map((one) => isReference(one as TesterStatus))).toEqual([
    false,
    false,
    true,
    true,
  ]);
});
