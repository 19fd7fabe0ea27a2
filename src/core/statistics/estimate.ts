/** One result with its standard uncertainty, in one unit. */
export interface Estimate {
  readonly value: number;
  readonly uncertainty: number;
}

/** An estimate whose uncertainty is itself known only from so many observations; null: as well as if from endlessly many. */
export interface EstimateWithFreedom extends Estimate {
  readonly degreesOfFreedom: number | null;
}
