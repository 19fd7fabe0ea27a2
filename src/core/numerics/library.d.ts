/**
 * Elementary functions and distributions that give the same bits on every engine: computed by plus, minus, times, divided and
 * square roots alone, which IEEE 754 fixes. `Math.exp` and its like are left to the engine by ECMA-262 (21.3.2). Made by the
 * build from packages (`numerics/`); arguments outside a function's domain give NaN, overflow an infinity, as with `Math`.
 */

/** e to the power x. */
export function exp(x: number): number;
/** e to the power x, less one, with all its digits near x = 0. */
export function expm1(x: number): number;
/** The natural logarithm. */
export function log(x: number): number;
/** The natural logarithm of 1 + x, with all its digits near x = 0. */
export function log1p(x: number): number;
/** `base` to a power that need not be whole. Squares are `square`, powers of ten `powerOfTen`. */
export function pow(base: number, exponent: number): number;
/** The sine of an angle in radians. */
export function sin(x: number): number;
/** The cosine of an angle in radians. */
export function cos(x: number): number;
/** The value below which Student's t lies with the given probability. */
export function studentInverse(probability: number, degreesOfFreedom: number): number;
/** The value below which Fisher's F lies with the given probability. */
export function fisherInverse(probability: number, numerator: number, denominator: number): number;
/** P(X <= x) of a normal X. */
export function normalDistribution(x: number, mean: number, deviation: number): number;
