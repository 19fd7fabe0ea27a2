import { describe, expect, test } from "@jest/globals";
import { judgeQuantity, type RecordPair } from "./judge.js";
import { judgementOf } from "./judgement.js";
import { quantityOf, RECORD_QUANTITIES } from "./quantities.js";
import { leastReproducibility, reproducibilityOf, scatterOf } from "./reproducibility.js";

const SD = 0.0095;

/** A tester off by a share on each pack, beside the given reference testers. */
const pairs = (shares: readonly number[], partners: readonly string[] = ["x", "y", "z"], stated = 5): RecordPair[] =>
  shares.map((share, i) => ({
    packId: `pack ${i}`,
    value: 1000 * (1 + share),
    statedUncertainty: stated,
    references: partners.map((testerId) => ({ testerId, value: 1000 })),
    sealed: false,
  }));
const gapsOf = (some: readonly RecordPair[]) => judgeQuantity("power", some, SD).gaps;

describe("a record in one quantity", () => {
  test("is good with three packs, three partners, and a bias within 2.3 s_R", () => {
    expect(gapsOf(pairs([0.018, 0.018, 0.018]))).toEqual([]);
    expect(gapsOf(pairs([0.004, -0.003, 0.002]))).toEqual([]);
  });

  test("needs three packs, shared with three different reference testers", () => {
    expect(gapsOf(pairs([0, 0]))).toEqual(["packs"]);
    expect(gapsOf(pairs([0, 0, 0, 0], ["x", "y"]))).toEqual(["partners"]);
    const each = pairs([0, 0, 0]).map((pair, i) => ({ ...pair, references: [{ testerId: `p${i}`, value: 1000 }] }));
    expect(gapsOf(each)).toEqual([]);
    expect(judgeQuantity("power", [], SD)).toMatchObject({ bias: null, gaps: ["packs", "partners"] });
  });

  test("fails by a bias of more than 2.3 s_R, either way", () => {
    for (const sign of [1, -1]) expect(gapsOf(pairs([0.023, 0.023, 0.023].map((b) => sign * b)))).toEqual(["bias"]);
  });

  test("allows a coarse bench more, and nobody more than three s_R", () => {
    expect(gapsOf(pairs([0.025, 0.025, 0.025], ["x", "y", "z"], 13))).toEqual([]);
    expect(gapsOf(pairs([0.029, 0.029, 0.029], ["x", "y", "z"], 100))).toEqual(["bias"]);
  });

  test("fails by scatter of more than two s_R", () => {
    expect(gapsOf(pairs([0.025, -0.025, 0.025, -0.025]))).toEqual(["scatter"]);
  });

  test("states the bias with the uncertainty that references, specimens and the bench leave", () => {
    const { bias, biasUncertainty } = judgeQuantity("power", pairs([0.01, 0.01, 0.01]), SD);
    expect(bias).toBeCloseTo(0.01, 12);
    // By hand: sqrt(0.005^2 + (0.0095^2 / 3 + (0.0095 / 2)^2) / 3), the bench's 5 in 1000 being above 0.5 s_R.
    expect(biasUncertainty).toBeCloseTo(Math.sqrt(0.005 ** 2 + (0.0095 ** 2 / 3 + 0.00475 ** 2) / 3), 12);
  });

  test("shows the uncertainty that it has where the stated one is contradicted, and else nothing", () => {
    const shown = judgeQuantity("power", pairs([0.025, 0.025, 0.025], ["x", "y", "z"], 0.1), SD).shownUncertainty;
    expect(shown).toBeCloseTo(Math.sqrt(0.025 ** 2 - 0.0095 ** 2 / 3 - 0.00475 ** 2), 12);
    expect(judgeQuantity("power", pairs([0.005, -0.005, 0.005]), SD).shownUncertainty).toBeNull();
  });
});

describe("a whole record", () => {
  const of = (shares: Readonly<Record<string, readonly number[]>>, needsSealedPack = false, sealed = false) =>
    judgementOf(
      new Map(
        RECORD_QUANTITIES.map((quantity) => [
          quantity,
          { pairs: pairs(shares[quantity] ?? [0, 0, 0]).map((pair) => ({ ...pair, sealed })), relativeSd: SD },
        ]),
      ),
      needsSealedPack,
    );

  test("has to agree in power, capacity and resistance alike", () => {
    expect(of({}).agrees).toBe(true);
    for (const quantity of RECORD_QUANTITIES) expect(of({ [quantity]: [0.04, 0.04, 0.04] }).agrees).toBe(false);
    expect(judgementOf(new Map(), false).agrees).toBe(false);
  });

  test("needs a pack of a sealed round where that is asked for", () => {
    expect(of({}, true)).toMatchObject({ agrees: false, lacksSealedPack: true });
    expect(of({}, true, true)).toMatchObject({ agrees: true, lacksSealedPack: false });
  });
});

describe("s_R", () => {
  test("is at least the figure's own, and at most twice that", () => {
    const wild = Array.from({ length: 10 }, () => [900, 1000, 1100]);
    const still = Array.from({ length: 10 }, () => [1000, 1000, 1000]);
    expect(reproducibilityOf("power-10s", scatterOf(wild)).relativeSd).toBe(0.019);
    expect(reproducibilityOf("power-10s", scatterOf(still))).toEqual({ relativeSd: 0.0095, degreesOfFreedom: 20 });
  });

  test("is the pooled standard deviation between, over the value", () => {
    // Each of ten pairs 1 % either side of its mean: s = 0.02 / sqrt(2), beside a least one of 0.0095.
    const groups = Array.from({ length: 15 }, (_, i) => [990 + i, 1010 + i].map((value) => value * (1 + i)));
    expect(reproducibilityOf("power-10s", scatterOf(groups)).relativeSd).toBeCloseTo(0.02 / Math.sqrt(2), 3);
  });

  test("is not estimated from a few results", () => {
    expect(reproducibilityOf("power-10s", scatterOf([[900, 1100], [5]]))).toEqual({
      relativeSd: 0.0095,
      degreesOfFreedom: 1,
    });
    expect(reproducibilityOf("power-10s", scatterOf([])).degreesOfFreedom).toBe(0);
  });

  test("has a least one for every figure", () => {
    for (const figure of ["energy", "resistance-1s", "verified-current", "whatever"]) {
      expect(leastReproducibility(figure)).toBeGreaterThan(0);
    }
    expect([
      quantityOf("energy"),
      quantityOf("sag-10s"),
      quantityOf("capacity-share"),
      quantityOf("temperature-rise"),
    ]).toEqual(["power", "resistance", "capacity", null]);
  });
});
