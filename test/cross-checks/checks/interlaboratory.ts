import { type Agreement, agreementOf } from "../../../src/core/statistics/agreement.js";
import type { OutsideCheck } from "./check.js";
import { numbers } from "./numbers.js";

const DATA =
  "ASTM E691-99, table 1 (data read in NIST Dataplot's GLUCOSE.DAT); printed precision table from memory, reproduced";
const CRITICAL = "ASTM E691, table 5 (from memory), formulas read in R ILS; values recomputed with SciPy";

/** Glucose in serum, mg/dL: eight laboratories, three results each, one after another. */
const MATERIALS = {
  A: numbers(`41.03 41.45 41.37 41.17 42.00 41.15 41.01 40.68 42.66 39.37 42.37 42.63 41.88 41.19 41.32 43.28 40.50 42.28
    41.08 41.27 39.02 43.36 42.65 41.72`),
  B: numbers(`78.28 78.18 78.49 77.78 80.38 79.54 79.18 79.72 80.81 84.08 78.60 81.92 78.16 79.58 78.33 78.66 79.27 81.75
    79.76 81.45 77.35 80.44 80.80 79.80`),
  C: numbers(`132.66 133.83 133.10 132.92 136.90 136.40 132.61 135.80 135.36 138.50 148.30 135.69 131.90 134.14 133.76
    137.21 135.14 137.50 130.97 131.59 134.92 135.46 135.14 133.63`),
  D: numbers(`193.71 193.59 193.65 190.88 200.14 194.30 192.71 193.28 190.28 195.85 196.36 199.43 192.59 191.44 195.12
    195.34 198.26 198.13 194.66 191.99 187.13 197.56 195.99 200.82`),
  E: numbers(`292.78 294.09 292.89 292.27 309.40 295.08 295.53 290.14 292.34 295.19 295.44 296.83 293.93 292.48 294.28
    297.74 296.80 290.33 287.29 293.76 289.36 298.46 295.28 296.12`),
};

/** The standard takes laboratory 4's second result of C, 148.30, for a slip of 138.30 (from memory). */
const MENDED_C = MATERIALS.C.with(10, 138.3);

function agreement(results: readonly number[]): Agreement {
  return agreementOf(
    Array.from({ length: 8 }, (_, i) => ({ testerId: String(i + 1), values: results.slice(3 * i, 3 * i + 3) })),
  );
}

/** In A the laboratories' means scatter less than their repeats explain, so s_R is s_r. */
const PRINTED = [
  ["A", MATERIALS.A, 1.0632, 1.0632],
  ["B", MATERIALS.B, 1.4949, 1.5796],
  ["C, mended", MENDED_C, 1.5434, 2.1482],
  ["D", MATERIALS.D, 2.6251, 3.3657],
  ["E", MATERIALS.E, 3.935, 4.1923],
] as const;

const numberOf = (value: number | null | undefined) => value ?? Number.NaN;
const flagged = (results: readonly number[]) =>
  agreement(results)
    .testers.filter(({ deviates }) => deviates)
    .map(({ testerId }) => testerId)
    .join(" ");

export const INTERLABORATORY: readonly OutsideCheck[] = [
  ...PRINTED.flatMap(([name, results, repeatability, reproducibility]): OutsideCheck[] => [
    {
      what: `repeatability sd, glucose ${name}`,
      source: DATA,
      expected: repeatability,
      got: () => numberOf(agreement(results).repeatabilitySd),
      decimals: 4,
    },
    {
      what: `reproducibility sd, glucose ${name}`,
      source: DATA,
      expected: reproducibility,
      got: () => numberOf(agreement(results).reproducibilitySd),
      decimals: 4,
    },
  ]),
  {
    what: "critical h, 8 laboratories, 0.5 %",
    source: CRITICAL,
    expected: 2.1525,
    got: () => numberOf(agreement(MATERIALS.A).hCritical),
    decimals: 4,
  },
  {
    what: "critical k, 8 laboratories of 3 results, 0.5 %",
    source: CRITICAL,
    expected: 2.0608,
    got: () => numberOf(agreement(MATERIALS.A).testers[0]?.kCritical),
    decimals: 4,
  },
  {
    what: "h of laboratory 4, glucose C with the slip",
    source: `${DATA}; h computed apart with SciPy`,
    expected: 2.141,
    got: () => numberOf(agreement(MATERIALS.C).testers[3]?.h),
    decimals: 3,
  },
  {
    what: "k of laboratory 4, glucose C with the slip",
    source: `${DATA}; k computed apart with SciPy`,
    expected: 2.409,
    got: () => numberOf(agreement(MATERIALS.C).testers[3]?.k),
    decimals: 3,
  },
  { what: "flagged, glucose C with the slip", source: DATA, expected: "4", got: () => flagged(MATERIALS.C) },
  { what: "flagged, glucose E", source: DATA, expected: "2", got: () => flagged(MATERIALS.E) },
  { what: "flagged, glucose A", source: DATA, expected: "", got: () => flagged(MATERIALS.A) },
];
