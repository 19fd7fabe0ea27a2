import { sampleOf } from "../../../src/core/statistics/sample.js";
import type { OutsideCheck } from "./check.js";
import { numbers } from "./numbers.js";

interface DataSet {
  readonly name: string;
  readonly read: string;
  readonly values: readonly number[];
  readonly mean: number;
  readonly sd: number;
  /** Of the standard deviation; binary numbers near 10^7 hold eight digits of a deviation of 0.1. */
  readonly digits: number;
}

const DATA_SETS: readonly DataSet[] = [
  {
    name: "Michelso",
    read: "",
    values: numbers(`
      299.85 299.74 299.90 300.07 299.93 299.85 299.95 299.98 299.98 299.88 300.00 299.98 299.93 299.65 299.76 299.81
      300.00 300.00 299.96 299.96 299.96 299.94 299.96 299.94 299.88 299.80 299.85 299.88 299.90 299.84 299.83 299.79
      299.81 299.88 299.88 299.83 299.80 299.79 299.76 299.80 299.88 299.88 299.88 299.86 299.72 299.72 299.62 299.86
      299.97 299.95 299.88 299.91 299.85 299.87 299.84 299.84 299.85 299.84 299.84 299.84 299.89 299.81 299.81 299.82
      299.80 299.77 299.76 299.74 299.75 299.76 299.91 299.92 299.89 299.86 299.88 299.72 299.84 299.85 299.85 299.78
      299.89 299.84 299.78 299.81 299.76 299.81 299.79 299.81 299.82 299.85 299.87 299.87 299.81 299.74 299.81 299.94
      299.95 299.80 299.81 299.87`),
    mean: 299.8524,
    sd: 0.0790105478190518,
    digits: 13,
  },
  {
    name: "Lew",
    read: "",
    values: numbers(`
      -213 -564 -35 -15 141 115 -420 -360 203 -338 -431 194 -220 -513 154 -125 -559 92 -21 -579 -52 99 -543 -175 162
      -457 -346 204 -300 -474 164 -107 -572 -8 83 -541 -224 180 -420 -374 201 -236 -531 83 27 -564 -112 131 -507
      -254 199 -311 -495 143 -46 -579 -90 136 -472 -338 202 -287 -477 169 -124 -568 17 48 -568 -135 162 -430 -422
      172 -74 -577 -13 92 -534 -243 194 -355 -465 156 -81 -578 -64 139 -449 -384 193 -198 -538 110 -44 -577 -6 66
      -552 -164 161 -460 -344 205 -281 -504 134 -28 -576 -118 156 -437 -381 200 -220 -540 83 11 -568 -160 172 -414
      -408 188 -125 -572 -32 139 -492 -321 205 -262 -504 142 -83 -574 0 48 -571 -106 137 -501 -266 190 -391 -406 194
      -186 -553 83 -13 -577 -49 103 -515 -280 201 300 -506 131 -45 -578 -80 138 -462 -361 201 -211 -554 32 74 -533
      -235 187 -372 -442 182 -147 -566 25 68 -535 -244 194 -351 -463 174 -125 -570 15 72 -550 -190 172 -424 -385 198
      -218 -536 96`),
    mean: -177.435,
    sd: 277.332168044316,
    digits: 14,
  },
  {
    name: "NumAcc4",
    read: " (read second-hand)",
    values: Array.from({ length: 1001 }, (_, i) => 10_000_000 + (i === 0 ? 0.2 : i % 2 === 1 ? 0.1 : 0.3)),
    mean: 10_000_000.2,
    sd: 0.1,
    digits: 8,
  },
];

export const NIST_UNIVARIATE: readonly OutsideCheck[] = DATA_SETS.flatMap(
  ({ name, read, values, mean, sd, digits }) => {
    const source = `NIST StRD, univariate summary statistics, ${name}.dat${read}`;
    return [
      { what: `mean, ${name}`, source, expected: mean, got: () => sampleOf(values).mean, digits: 14 },
      { what: `sd, ${name}`, source, expected: sd, got: () => sampleOf(values).sd ?? Number.NaN, digits },
    ];
  },
);
