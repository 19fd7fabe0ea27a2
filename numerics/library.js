/** What the core computes with and ECMA-262 leaves to each engine, from packages that need plus, minus, times, divided and roots alone. */
export { default as cos } from "@stdlib/math-base-special-cos";
export { default as exp } from "@stdlib/math-base-special-exp";
export { default as expm1 } from "@stdlib/math-base-special-expm1";
export { default as log } from "@stdlib/math-base-special-ln";
export { default as log1p } from "@stdlib/math-base-special-log1p";
export { default as pow } from "@stdlib/math-base-special-pow";
export { default as sin } from "@stdlib/math-base-special-sin";

import statistics from "jstat";

const { studentt, centralF, normal } = statistics.jStat;
export const studentInverse = studentt.inv;
export const fisherInverse = centralF.inv;
export const normalDistribution = normal.cdf;
