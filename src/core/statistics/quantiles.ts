import { fisherInverse, studentInverse } from "../numerics/library.js";

/**
 * The value below which Student's t lies with the given probability.
 *
 * Holds to one part in ten million or better for probabilities from 0.9 to 0.9999 and degrees of freedom from 0.2 to a
 * million, which is far more than an interval shows; the tests hold it to closed forms and tables.
 *
 * @param probability between 0 and 1
 * @param degreesOfFreedom above zero; need not be whole
 */
export function studentQuantile(probability: number, degreesOfFreedom: number): number {
  return studentInverse(probability, degreesOfFreedom);
}

/**
 * The value below which Fisher's F lies with the given probability: the ratio of two variances of one distribution.
 * Holds to one part in a million or better for probabilities from 0.9 to 0.999.
 *
 * @param probability between 0 and 1
 * @param numerator degrees of freedom of the variance above the line, above zero
 * @param denominator degrees of freedom of the variance below the line, above zero
 */
export function fisherQuantile(probability: number, numerator: number, denominator: number): number {
  return fisherInverse(probability, numerator, denominator);
}
