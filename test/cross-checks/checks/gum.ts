import { sampleOf } from "../../../src/core/statistics/sample.js";
import { coverageFactor } from "../../../src/core/uncertainty/coverage-factor.js";
import { shownValue } from "../../../src/core/uncertainty/digits.js";
import { effectiveFreedom } from "../../../src/core/uncertainty/effective-freedom.js";
import { rectangular } from "../../../src/core/uncertainty/noise.js";
import { propagate } from "../../../src/core/uncertainty/propagate.js";
import type { OutsideCheck } from "./check.js";
import { numbers } from "./numbers.js";

const H2_DATA = "JCGM 100:2008, H.2, table H.2 (data read in R propagate and in GTC's tests)";
const H2_FIRST = "JCGM 100:2008, H.2, table H.3, approach 1 (printed value read in GTC's tests)";
const H2_SECOND = "JCGM 100:2008, H.2, table H.4, approach 2 (printed value read in GTC's tests)";
const H2_EXACT = "JCGM 100:2008, H.2, from its data at full precision, computed apart in Python";

/** Five simultaneous observations: V in V, I in A, phase in rad. */
const OBSERVED = [
  numbers("5.007 4.994 5.005 4.990 4.999"),
  numbers("0.019663 0.019639 0.019640 0.019685 0.019678"),
  numbers("1.0456 1.0438 1.0468 1.0428 1.0433"),
] as const;

/** R, X, Z in ohm. */
const impedance = ([volts = 0, amperes = 0, phase = 0]: readonly number[]) => {
  const ohms = volts / amperes;
  return [ohms * Math.cos(phase), ohms * Math.sin(phase), ohms];
};

/** u of the mean, and covariances of means by the variance of a sum (JCGM 100, 5.2.3): var(a + b) - var(a - b) = 4 cov. */
function meansOf(columns: readonly (readonly number[])[]) {
  const variance = (values: readonly number[]) => (sampleOf(values).sd as number) ** 2 / values.length;
  const covariance = (a: readonly number[], b: readonly number[]) =>
    (variance(a.map((value, k) => value + (b[k] as number))) -
      variance(a.map((value, k) => value - (b[k] as number)))) /
    4;
  return {
    values: columns.map((column) => sampleOf(column).mean),
    covariance: columns.map((a) => columns.map((b) => covariance(a, b))),
  };
}

type Result = { readonly values: readonly number[]; readonly covariance: readonly (readonly number[])[] };
const value = (i: number) => (result: Result) => result.values[i] as number;
const u = (i: number) => (result: Result) => Math.sqrt(result.covariance[i]?.[i] as number);
const r = (i: number, j: number) => (result: Result) =>
  (result.covariance[i]?.[j] as number) / (u(i)(result) * u(j)(result));

const inputs = () => meansOf(OBSERVED);
const firstApproach = (): Result => {
  const { values, covariance } = inputs();
  return propagate(impedance, values, covariance);
};
const secondApproach = (): Result => {
  const each = OBSERVED[0].map((_, k) => impedance(OBSERVED.map((column) => column[k] as number)));
  return meansOf([0, 1, 2].map((i) => each.map((row) => row[i] as number)));
};
/** What JCGM 100 warns of: the correlations left out, R is wrong by a factor of 2.7. */
const uncorrelated = (): Result => {
  const { values, covariance } = inputs();
  return propagate(
    impedance,
    values,
    covariance.map((row, i) => row.map((entry, j) => (i === j ? entry : 0))),
  );
};

function checksOf(
  source: string,
  found: () => Result,
  rows: readonly (readonly [what: string, expected: number, places: number, read: (result: Result) => number])[],
): OutsideCheck[] {
  return rows.map(([what, expected, decimals, read]) => ({
    what,
    source,
    expected,
    decimals,
    got: () => read(found()),
  }));
}

export const GUM_CORRELATED: readonly OutsideCheck[] = [
  ...checksOf(H2_DATA, inputs, [
    ["u of the mean of V, V", 0.0032, 4, u(0)],
    ["u of the mean of I, A", 0.0000095, 7, u(1)],
    ["u of the mean of the phase, rad", 0.00075, 5, u(2)],
    ["r(V, I)", -0.36, 2, r(0, 1)],
    ["r(V, phase)", 0.86, 2, r(0, 2)],
    ["r(I, phase)", -0.65, 2, r(1, 2)],
  ]),
  // The printed u(X) 0.295 is approach 2's; approach 1 gives 0.2956 from unrounded inputs.
  ...checksOf(H2_FIRST, firstApproach, [
    ["R, ohm", 127.732, 3, value(0)],
    ["u(R), ohm", 0.071, 3, u(0)],
    ["X, ohm", 219.847, 3, value(1)],
    ["Z, ohm", 254.26, 3, value(2)],
    ["u(Z), ohm", 0.236, 3, u(2)],
    ["r(R, X)", -0.588, 3, r(0, 1)],
    ["r(R, Z)", -0.485, 3, r(0, 2)],
    ["r(X, Z)", 0.993, 3, r(1, 2)],
  ]),
  ...checksOf(H2_EXACT, firstApproach, [
    ["R, approach 1, unrounded", 127.73216993, 8, value(0)],
    ["u(R), approach 1, unrounded", 0.07107141, 6, u(0)],
    ["u(X), approach 1, unrounded", 0.29558168, 6, u(1)],
    ["u(Z), approach 1, unrounded", 0.23633613, 6, u(2)],
    ["r(R, X), approach 1, unrounded", -0.58842978, 5, r(0, 1)],
  ]),
  ...checksOf(H2_SECOND, secondApproach, [
    ["R, ohm", 127.732, 3, value(0)],
    ["u(R), ohm", 0.071, 3, u(0)],
    ["X, ohm", 219.847, 3, value(1)],
    ["u(X), ohm", 0.295, 3, u(1)],
    ["Z, ohm", 254.26, 3, value(2)],
    ["u(Z), ohm", 0.236, 3, u(2)],
    ["r(R, X)", -0.588, 3, r(0, 1)],
    ["r(R, Z)", -0.485, 3, r(0, 2)],
    ["r(X, Z)", 0.993, 3, r(1, 2)],
  ]),
  ...checksOf(H2_EXACT, secondApproach, [
    ["R, approach 2, unrounded", 127.73163048, 8, value(0)],
    ["u(R), approach 2, unrounded", 0.07127354, 8, u(0)],
    ["u(X), approach 2, unrounded", 0.29548909, 8, u(1)],
  ]),
  ...checksOf(`${H2_EXACT}; a wrong way`, uncorrelated, [
    ["u(R) with the correlations left out", 0.1945, 4, u(0)],
    ["u(X) with the correlations left out", 0.2009, 4, u(1)],
    ["u(Z) with the correlations left out", 0.2041, 4, u(2)],
  ]),
];

const freedom = (parts: readonly (readonly [uncertainty: number, degreesOfFreedom: number | null])[]) =>
  effectiveFreedom(parts.map(([uncertainty, degreesOfFreedom]) => ({ uncertainty, degreesOfFreedom }))) ?? Number.NaN;

export const GUM_FREEDOM: readonly OutsideCheck[] = [
  {
    what: "effective degrees of freedom, end gauge",
    source:
      "JCGM 100:2008, H.1.6 (budget read in R propagate; printed 16.7 from memory; this value from the unrounded root)",
    expected: 16.7646,
    decimals: 4,
    got: () =>
      freedom([
        [25, 18],
        [9.7, 25.6],
        [2.9, 50],
        [16.6, 2],
      ]),
  },
  {
    what: "effective degrees of freedom, four inputs, one of type B",
    source: "R metRology, example of w.s, read and run there",
    expected: 15.6079609578,
    digits: 11,
    got: () =>
      freedom([
        [0.1, null],
        [0.6, 6],
        [0.6, 8],
        [0.55, 3],
      ]),
  },
  {
    what: "effective degrees of freedom, a product",
    source: "JCGM 100:2008, G.4.1, example (from memory; printed 19.0)",
    expected: 19,
    decimals: 1,
    got: () =>
      freedom([
        [0.25, 9],
        [0.57, 4],
        [0.82, 14],
      ]),
  },
  ...[
    [1, 13.97],
    [2, 4.53],
    [3, 3.31],
    [4, 2.87],
    [5, 2.65],
    [10, 2.28],
    [20, 2.13],
    [50, 2.05],
  ].map(([degreesOfFreedom = 0, expected = 0]): OutsideCheck => {
    return {
      what: `coverage factor, ${degreesOfFreedom} degrees of freedom`,
      source: "JCGM 100:2008, table G.2, column 95.45 % (from memory)",
      expected,
      decimals: 2,
      got: () => coverageFactor(degreesOfFreedom),
    };
  }),
  {
    what: "coverage factor, infinitely many",
    source: "JCGM 100:2008, table G.2, column 95.45 % (from memory)",
    expected: 2,
    decimals: 3,
    got: () => coverageFactor(null),
  },
  {
    what: "u of a rectangular distribution of half-width 1",
    source: "JCGM 100:2008, 4.3.7, formula (7) (value read in GTC)",
    expected: 0.5773502691896258,
    digits: 15,
    got: () => rectangular(1),
  },
  {
    what: "10.057 62 ohm with u = 27 mohm, as shown",
    source: "JCGM 100:2008, 7.2.6 (from memory)",
    expected: "10.058",
    got: () => shownValue(10.05762, 0.027).value,
  },
];
