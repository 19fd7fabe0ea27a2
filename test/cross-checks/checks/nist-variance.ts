import { type AnalysisOfVariance, oneWay } from "../../../src/core/statistics/analysis-of-variance.js";
import type { OutsideCheck } from "./check.js";
import { numbers } from "./numbers.js";

/** 107.868 and four more digits. */
const atomicWeights = (text: string) => numbers(text).map((digits) => Number(`107.868${digits}`));

const SILICON = [
  "196.3052 196.1240 196.1890 196.2569 196.3403",
  "196.3042 196.3825 196.1669 196.3257 196.0422",
  "196.1303 196.2005 196.2889 196.0343 196.1811",
  "196.2795 196.1748 196.1494 196.1485 195.9885",
  "196.2119 196.1051 196.1850 196.0052 196.2090",
].map(numbers);

const SILVER = [
  "1568 1465 1572 1785 1446 1903 1526 1494 1616 1587 1519 1486 1419 1569 1508 1672 1385 1518 1662 1424 1360 1333 1610 1477",
  "1079 1344 1513 1197 1604 1385 1642 1365 1151 1082 1517 1448 1198 1482 1334 1609 1101 1512 1469 1360 1254 1261 1450 1368",
].map(atomicWeights);

const meanSquare = ({ squares, degreesOfFreedom }: AnalysisOfVariance["between"]) => squares / degreesOfFreedom;

export const NIST_VARIANCE: readonly OutsideCheck[] = [
  // NIST certifies them for decimal data; the nearest binary numbers alone leave some ten digits of AtmWtAg's.
  ...checksOf("SiRstv", SILICON, 12, {
    between: 5.11462616e-2,
    within: 2.1663656e-1,
    ratio: 1.18046237440255,
    residualSd: 1.04076068334656e-1,
  }),
  ...checksOf("AtmWtAg", SILVER, 8, {
    between: 3.638341875e-9,
    within: 1.04951729166667e-8,
    ratio: 1.5946733567793e1,
    residualSd: 1.5104831444641e-5,
  }),
];

interface Certified {
  readonly between: number;
  readonly within: number;
  readonly ratio: number;
  readonly residualSd: number;
}

function checksOf(name: string, groups: readonly number[][], digits: number, certified: Certified): OutsideCheck[] {
  const source = `NIST StRD, analysis of variance, ${name}.dat`;
  const check = (what: string, expected: number, got: (found: AnalysisOfVariance) => number): OutsideCheck => {
    return { what: `${what}, ${name}`, source, expected, got: () => got(oneWay(groups)), digits };
  };
  return [
    check("squares between", certified.between, ({ between }) => between.squares),
    check("squares within", certified.within, ({ within }) => within.squares),
    check("F", certified.ratio, ({ between, within }) => meanSquare(between) / meanSquare(within)),
    check("residual sd", certified.residualSd, ({ within }) => Math.sqrt(meanSquare(within))),
  ];
}
