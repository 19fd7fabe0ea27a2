import { consensusOf } from "../../../src/core/statistics/consensus.js";
import { dersimonianLaird } from "../../../src/core/statistics/dersimonian-laird.js";
import type { EstimateWithFreedom } from "../../../src/core/statistics/estimate.js";
import type { OutsideCheck } from "./check.js";
import { numbers } from "./numbers.js";

type Expected = readonly [mean: number, uncertainty: number, betweenVariance: number];

interface Example {
  readonly name: string;
  readonly source: string;
  readonly values: readonly number[];
  readonly variances: readonly number[];
  readonly digits: number;
  readonly mandelPaule?: Expected;
  readonly dersimonianLaird?: Expected;
}

interface Published {
  readonly name: string;
  readonly source: string;
  readonly effects: readonly { readonly value: number; readonly variance: number }[];
}

const [treated, treatedAll] = [numbers("5 5 12 69 9 313"), numbers("156 303 565 1570 103 4659")];
const [control, controlAll] = [numbers("8 17 9 94 11 352"), numbers("74 303 477 1565 105 4650")];
const vaccine = numbers(`
  4 119 11 128 6 300 29 274 3 228 11 209 62 13536 248 12619 33 5036 47 5761 180 1361 372 1079 8 2537 10 619
  505 87886 499 87892 29 7470 45 7232 17 1699 65 1600 186 50448 141 27197 5 2493 3 2338 27 16886 29 17825`);

/** Log odds ratios from the successes and sizes of two arms (Woolf's variance). */
const TRIALS: Published = {
  name: "six trials",
  source:
    "R. DerSimonian, R. Kacker, Contemp. Clin. Trials 28 (2007) 105-114, tables 3 and 4, read in R metafor's tests",
  effects: treated.map((a, i) => {
    const c = control[i] as number;
    const [b, d] = [(treatedAll[i] as number) - a, (controlAll[i] as number) - c];
    return { value: Math.log((a * d) / (b * c)), variance: 1 / a + 1 / b + 1 / c + 1 / d };
  }),
};

/** Log relative risks from the cases and others of two arms. */
const VACCINE: Published = {
  name: "thirteen trials of a vaccine",
  source: "R metafor's tests, checked there against another program, read there; data read in R metadat, dat.bcg",
  effects: Array.from({ length: 13 }, (_, i) => {
    const [a = 0, b = 0, c = 0, d = 0] = vaccine.slice(4 * i, 4 * i + 4);
    return { value: Math.log(a / (a + b) / (c / (c + d))), variance: 1 / a - 1 / (a + b) + 1 / c - 1 / (c + d) };
  }),
};

const EXAMPLES: readonly Example[] = [
  {
    name: "nine laboratories",
    source: "R. Kacker, Metrologia 41 (2004) 132-136; results of R metafor, read in statsmodels' results_meta.py",
    values: numbers("61.0 61.4 62.21 62.3 62.34 62.6 62.7 62.84 65.9"),
    variances: numbers("0.2025 1.21 0.09 0.2025 0.3844 0.5625 0.0676 0.0225 1.8225"),
    digits: 11,
    mandelPaule: [62.4076199113286, 0.338030602684471, 0.705395309224248],
    dersimonianLaird: [62.3901386044504, 0.245749668040304, 0.288049246973751],
  },
  {
    name: "heat of vaporisation, five laboratories",
    source: "data: R. C. Paule, J. Mandel, J. Res. NBS 87 (1982) 377-385, read in R metRology; its function's results",
    values: numbers("27.044 26.022 26.340 26.787 26.796"),
    variances: numbers("0.003 0.076 0.464 0.003 0.014"),
    digits: 8,
    mandelPaule: [26.7121287483, 0.171136963619, 0.105219388249],
  },
  {
    name: "two laboratories",
    source:
      "data: R. C. Paule, J. Mandel, J. Res. NBS 87 (1982) 377-385, 2nd example, read in R metRology; its results",
    values: [201.533, 216.55],
    variances: [0.154 ** 2 / 6, 0.25 ** 2 / 2],
    digits: 8,
    mandelPaule: [209.04059112, 7.50849994, 112.73754317],
    dersimonianLaird: [209.04059112, 7.50849994, 112.73754317],
  },
  {
    name: "PCB 105, seven institutes",
    source: "CCQM-K25; data and function of R metRology, read there; results of running it",
    values: numbers("10.21 10.9 10.94 10.58 10.81 9.62 10.8"),
    variances: numbers("0.381 0.250 0.130 0.410 0.445 0.196 0.093").map((u) => u ** 2),
    digits: 7,
    dersimonianLaird: [10.557083302, 0.19707321327, 0.444788304209 ** 2],
  },
];

export const RANDOM_EFFECTS: readonly OutsideCheck[] = [
  ...EXAMPLES.flatMap((example) => [
    ...checksOf(example, "Mandel-Paule", example.mandelPaule, consensusOf),
    ...checksOf(example, "DerSimonian-Laird", example.dersimonianLaird, dersimonianLaird),
  ]),
  ...printed(TRIALS, "Mandel-Paule", consensusOf, [-0.3811, 0.206, 0.3681]),
  ...printed(TRIALS, "DerSimonian-Laird", dersimonianLaird, [-0.324, 0.154, 0.2323]),
  ...printed(VACCINE, "DerSimonian-Laird", dersimonianLaird, [-0.7141, 0.1787, Math.sqrt(0.30876)]),
];

type Mean = (estimates: EstimateWithFreedom[]) => {
  readonly value: number;
  readonly uncertainty: number;
  readonly betweenVariance: number;
};

function estimates(values: readonly number[], variances: readonly number[]): EstimateWithFreedom[] {
  return values.map((value, i) => {
    return { value, uncertainty: Math.sqrt(variances[i] as number), degreesOfFreedom: null };
  });
}

function checksOf(example: Example, method: string, expected: Expected | undefined, mean: Mean): OutsideCheck[] {
  if (!expected) return [];
  const { name, source, digits } = example;
  const found = () => mean(estimates(example.values, example.variances));
  const check = (what: string, value: number, got: () => number): OutsideCheck => {
    return { what: `${method} ${what}, ${name}`, source, expected: value, got, digits };
  };
  return [
    check("mean", expected[0], () => found().value),
    check("u", expected[1], () => found().uncertainty),
    check("tau^2", expected[2], () => found().betweenVariance),
  ];
}

/** Results that are published to four decimals; tau in place of tau^2. */
function printed({ name, source, effects }: Published, method: string, mean: Mean, expected: Expected): OutsideCheck[] {
  const values = effects.map((one) => one.value);
  const variances = effects.map((one) => one.variance);
  const found = () => mean(estimates(values, variances));
  const check = (what: string, index: number, got: () => number): OutsideCheck => {
    return { what: `${method} ${what}, ${name}`, source, expected: expected[index] as number, got, decimals: 4 };
  };
  return [
    check("mean", 0, () => found().value),
    check("u", 1, () => found().uncertainty),
    check("tau", 2, () => Math.sqrt(found().betweenVariance)),
  ];
}
