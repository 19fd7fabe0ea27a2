/** One number, or one text, that a source outside the project gives, and how the project's own code gives it too. */
export interface OutsideCheck {
  readonly what: string;
  /** The primary source with its clause or table; how it was read where not in the original. */
  readonly source: string;
  readonly expected: number | string;
  readonly got: () => number | string | Promise<number | string>;
  /** How many digits must agree; left out for a text, which must be equal. */
  readonly digits?: number;
  /** Decimal places of an expected number that was printed rounded; then `got` must round to it. */
  readonly decimals?: number;
}

export interface CheckResult {
  readonly expected: string;
  readonly got: string;
  /** Digits that agree, -log10 of the relative error; of the error itself where zero is expected. */
  readonly digitsAgreed: number | null;
  readonly passed: boolean;
}

/** A float64 holds no more. */
const MAX_DIGITS = 15;
/** Half a unit of the last printed place, and the rounding of binary numbers. */
const HALF_A_UNIT = 0.5 + 1e-9;

export async function resultOf({ expected, got, digits, decimals }: OutsideCheck): Promise<CheckResult> {
  const found = await got();
  if (typeof expected === "string" || typeof found === "string") {
    return { expected: String(expected), got: String(found), digitsAgreed: null, passed: expected === found };
  }
  const error = Math.abs(found - expected);
  const agreed = Math.min(MAX_DIGITS, -Math.log10(expected === 0 ? error : error / Math.abs(expected)));
  const passed = decimals === undefined ? agreed >= (digits ?? MAX_DIGITS) : error <= HALF_A_UNIT * 10 ** -decimals;
  return { expected: String(expected), got: String(found), digitsAgreed: agreed, passed };
}
