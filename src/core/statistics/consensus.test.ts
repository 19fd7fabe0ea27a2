import { describe, expect, test } from "@jest/globals";
import { consensusOf, type Estimate, testerEstimate } from "./consensus.js";

const estimates = (values: number[], variances: number[]): Estimate[] =>
  values.map((value, i) => ({ value, uncertainty: Math.sqrt(variances[i] as number) }));

describe("the consensus of several testers", () => {
  test("equals the published Mandel-Paule result for nine laboratories", () => {
    // Kacker, Metrologia 41 (2004) 132-136, as computed by the R package metafor (statsmodels' results_meta.py).
    const nine = estimates(
      [61.0, 61.4, 62.21, 62.3, 62.34, 62.6, 62.7, 62.84, 65.9],
      [0.2025, 1.21, 0.09, 0.2025, 0.3844, 0.5625, 0.0676, 0.0225, 1.8225],
    );
    const consensus = consensusOf(nine);
    expect(consensus.betweenVariance).toBeCloseTo(0.705395309224248, 10);
    expect(consensus.value).toBeCloseTo(62.4076199113286, 10);
    expect(consensus.uncertainty).toBeCloseTo(0.338030602684471, 10);
  });

  test("equals the published result for six clinical trials", () => {
    // DerSimonian and Kacker, Contemp. Clin. Trials 28 (2007) 105-114, tables 3 and 4: tau 0.3681, mean -0.3811, se 0.2060.
    const trials = estimates(
      [-1.297629, -1.264877, 0.120792, -0.329377, -0.200671, -0.128534],
      [0.346774, 0.265676, 0.19839, 0.026477, 0.223297, 0.006499],
    );
    const consensus = consensusOf(trials);
    expect(Math.sqrt(consensus.betweenVariance)).toBeCloseTo(0.3681, 4);
    expect(consensus.value).toBeCloseTo(-0.3811, 4);
    expect(consensus.uncertainty).toBeCloseTo(0.206, 4);
  });

  test("equals the result for the two laboratories of Paule and Mandel's second example", () => {
    // J. Res. NBS 87 (1982) 377-385; the data as in the R package metRology, its function's result.
    const consensus = consensusOf([
      { value: 201.533, uncertainty: 0.154 / Math.sqrt(6) },
      { value: 216.55, uncertainty: 0.25 / Math.sqrt(2) },
    ]);
    expect(consensus.betweenVariance).toBeCloseTo(112.73754317, 6);
    expect(consensus.value).toBeCloseTo(209.04059112, 6);
    expect(consensus.uncertainty).toBeCloseTo(7.50849994, 6);
  });

  test("is the weighted mean without between-tester variance when the estimates agree", () => {
    const consensus = consensusOf([
      { value: 10, uncertainty: 1 },
      { value: 10.5, uncertainty: 0.5 },
    ]);
    expect(consensus.betweenVariance).toBe(0);
    expect(consensus.value).toBeCloseTo((10 + 4 * 10.5) / 5, 12);
    expect(consensus.uncertainty).toBeCloseTo(1 / Math.sqrt(5), 12);
  });

  test("refuses no estimates and uncertainties of zero", () => {
    expect(() => consensusOf([])).toThrow(RangeError);
    expect(() => consensusOf([{ value: 1, uncertainty: 0 }])).toThrow(RangeError);
  });
});

describe("one tester's repeats", () => {
  test("never make the estimate more certain than the bench", () => {
    const once = testerEstimate([{ value: 100, uncertainty: 2 }]);
    const often = testerEstimate(Array.from({ length: 50 }, () => ({ value: 100, uncertainty: 2 })));
    expect(often).toEqual(once);
  });

  test("add their scatter over the root of their number", () => {
    const { value, uncertainty } = testerEstimate([
      { value: 99, uncertainty: 2 },
      { value: 101, uncertainty: 2 },
    ]);
    expect(value).toBe(100);
    expect(uncertainty).toBeCloseTo(Math.sqrt(4 + 2 / 2), 12);
  });
});
