import { Matrix } from "ml-matrix";

/** Results of a model with the covariance that its inputs' covariance causes. */
export interface Propagated {
  readonly values: readonly number[];
  /** `covariance[i][j]` of results i and j, in the product of their units; u of result i is the root of `[i][i]`. */
  readonly covariance: readonly (readonly number[])[];
}

/**
 * Propagates the uncertainties of inputs, correlated ones too, through a model: U_y = C U_x C^T with the sensitivities
 * C = dy/dx from differences over plus and minus one standard uncertainty of each input.
 *
 * Source: JCGM 100:2008, 5.2.2, formula (13), several results at once as in H.2.3; sensitivities by 5.1.3, note 2 (clauses
 * from memory).
 *
 * @param model results as a function of all inputs
 * @param inputs estimates of the inputs
 * @param covariance of the inputs, symmetric, in the products of their units
 */
export function propagate(
  model: (inputs: readonly number[]) => readonly number[],
  inputs: readonly number[],
  covariance: readonly (readonly number[])[],
): Propagated {
  const values = model(inputs);
  const columns = inputs.map((value, j) => {
    const by = Math.sqrt(covariance[j]?.[j] as number);
    if (by === 0) return values.map(() => 0);
    const up = model(inputs.with(j, value + by));
    const down = model(inputs.with(j, value - by));
    return up.map((high, i) => (high - (down[i] as number)) / (2 * by));
  });
  const sensitivities = new Matrix(columns).transpose();
  const inputCovariance = new Matrix(covariance.map((row) => [...row]));
  return { values, covariance: sensitivities.mmul(inputCovariance).mmul(sensitivities.transpose()).to2DArray() };
}
