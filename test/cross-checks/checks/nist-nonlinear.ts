import { fitLeastSquares, type Model } from "../../../src/core/statistics/least-squares.js";
import type { OutsideCheck } from "./check.js";
import { numbers } from "./numbers.js";
import { once } from "./once.js";

interface Problem {
  readonly name: string;
  readonly model: Model<number>;
  readonly starts: readonly (readonly number[])[];
  readonly parameters: readonly number[];
  readonly deviations: readonly number[];
  readonly residualSd: number;
  readonly x: readonly number[];
  readonly y: readonly number[];
}

/** The course of a relaxation under constant current, and of a lumped body that warms. */
const rise: Model<number> = ([b1 = 0, b2 = 0], x) => b1 * (1 - Math.exp(-b2 * x));

/** Difficulty as NIST rates it: Misra1a lower; BoxBOD, MGH09 and Thurber higher. */
const PROBLEMS: readonly Problem[] = [
  {
    name: "Misra1a",
    model: rise,
    starts: [
      [500, 0.0001],
      [250, 0.0005],
    ],
    parameters: [2.3894212918e2, 5.5015643181e-4],
    deviations: [2.7070075241, 7.2668688436e-6],
    residualSd: 1.018787633e-1,
    x: numbers("77.6 114.9 141.1 190.8 239.9 289.0 332.8 378.4 434.8 477.3 536.8 593.1 689.1 760.0"),
    y: numbers("10.07 14.73 17.94 23.93 29.61 35.18 40.02 44.82 50.76 55.05 61.01 66.40 75.47 81.78"),
  },
  {
    name: "BoxBOD",
    model: rise,
    starts: [
      [1, 1],
      [100, 0.75],
    ],
    parameters: [2.1380940889e2, 5.4723748542e-1],
    deviations: [1.2354515176e1, 1.0455993237e-1],
    residualSd: 1.7088072423e1,
    x: numbers("1 2 3 5 7 10"),
    y: numbers("109 149 149 191 213 224"),
  },
  {
    name: "MGH09",
    model: ([b1 = 0, b2 = 0, b3 = 0, b4 = 0], x) => (b1 * (x * x + x * b2)) / (x * x + x * b3 + b4),
    starts: [
      [25, 39, 41.5, 39],
      [0.25, 0.39, 0.415, 0.39],
    ],
    parameters: [1.9280693458e-1, 1.9128232873e-1, 1.2305650693e-1, 1.3606233068e-1],
    deviations: [1.1435312227e-2, 1.9633220911e-1, 8.0842031232e-2, 9.0025542308e-2],
    residualSd: 6.6279236551e-3,
    x: numbers("4 2 1 0.5 0.25 0.167 0.125 0.1 0.0833 0.0714 0.0625"),
    y: numbers("0.1957 0.1947 0.1735 0.16 0.0844 0.0627 0.0456 0.0342 0.0323 0.0235 0.0246"),
  },
  {
    name: "Thurber",
    model: ([b1 = 0, b2 = 0, b3 = 0, b4 = 0, b5 = 0, b6 = 0, b7 = 0], x) =>
      (b1 + x * (b2 + x * (b3 + x * b4))) / (1 + x * (b5 + x * (b6 + x * b7))),
    starts: [
      [1000, 1000, 400, 40, 0.7, 0.3, 0.03],
      [1300, 1500, 500, 75, 1, 0.4, 0.05],
    ],
    parameters: numbers(
      "1.2881396800E+03 1.4910792535E+03 5.8323836877E+02 7.5416644291E+01 9.6629502864E-01 3.9797285797E-01 4.9727297349E-02",
    ),
    deviations: numbers(
      "4.6647963344E+00 3.9571156086E+01 2.8698696102E+01 5.5675370270E+00 3.1333340687E-02 1.4984928198E-02 6.5842344623E-03",
    ),
    residualSd: 1.3714600784e1,
    x: numbers(`
      -3.067 -2.981 -2.921 -2.912 -2.840 -2.797 -2.702 -2.699 -2.633 -2.481 -2.363 -2.322 -1.501 -1.460 -1.274 -1.212
      -1.100 -1.046 -0.915 -0.714 -0.566 -0.545 -0.400 -0.309 -0.109 -0.103 0.010 0.119 0.377 0.790 0.963 1.006 1.115
      1.572 1.841 2.047 2.200`),
    y: numbers(`
      80.574 84.248 87.264 87.195 89.076 89.608 89.868 90.101 92.405 95.854 100.696 101.060 401.672 390.724 567.534
      635.316 733.054 759.087 894.206 990.785 1090.109 1080.914 1122.643 1178.351 1260.531 1273.514 1288.339 1327.543
      1353.863 1414.509 1425.208 1421.384 1442.962 1464.350 1468.705 1447.894 1457.628`),
  },
];

export const NIST_NONLINEAR: readonly OutsideCheck[] = PROBLEMS.flatMap((problem) =>
  problem.starts.flatMap((start, index) => checksFrom(problem, start, index + 1)),
);

function checksFrom(problem: Problem, start: readonly number[], number: number): OutsideCheck[] {
  const { name, model, x, y } = problem;
  const source = `NIST StRD, nonlinear regression, ${name}.dat`;
  const fitted = once(async () => {
    const found = fitLeastSquares(model, start, x, y);
    if (!found) throw new Error(`no fit of ${name} from start ${number}`);
    return found;
  });
  const check = (quantity: string, expected: number, got: OutsideCheck["got"], digits: number): OutsideCheck => {
    return { what: `${quantity}, ${name} from start ${number}`, source, expected, got, digits };
  };
  return [
    ...problem.parameters.map((value, j) =>
      check(`b${j + 1}`, value, async () => (await fitted()).parameters[j] as number, 7),
    ),
    ...problem.deviations.map((value, j) =>
      check(`sd of b${j + 1}`, value, async () => Math.sqrt((await fitted()).covariance[j]?.[j] as number), 6),
    ),
    check("residual sd", problem.residualSd, async () => (await fitted()).residualSd, 8),
  ];
}
