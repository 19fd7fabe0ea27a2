/** Autocorrelation is looked at over this share of the length: enough for what hums, little enough to add no noise of its own. */
const AUTOCORRELATION_SHARE = 1 / 8;

/** Correlation coefficient of two series of the same length; 0 where one of them does not vary. */
export function correlationOf(one: Float64Array, other: Float64Array): number {
  const [meanOne, meanOther] = [meanOf(one), meanOf(other)];
  let product = 0;
  let squareOne = 0;
  let squareOther = 0;
  for (let i = 0; i < one.length; i++) {
    const a = (one[i] as number) - meanOne;
    const b = (other[i] as number) - meanOther;
    product += a * b;
    squareOne += a * a;
    squareOther += b * b;
  }
  const scale = Math.sqrt(squareOne * squareOther);
  return scale > 0 ? product / scale : 0;
}

/**
 * A correlation in its standard deviations between independent series of the same spectra: these vary by
 * sqrt((1 + 2 sum (1 - k/n) a_k b_k) / n), a_k and b_k being the autocorrelations at the lag k (M. S. Bartlett, Journal of the
 * Royal Statistical Society 98 (1935) 536; from memory). What hums alike in independent series scores low.
 */
export function scoreOf(one: Float64Array, other: Float64Array, correlation: number): number {
  const n = one.length;
  const [a, b] = [autocorrelations(one), autocorrelations(other)];
  const sum = a.reduce((total, ak, i) => total + (1 - (i + 1) / n) * ak * (b[i] as number), 0);
  return correlation / Math.sqrt(Math.max(1, 1 + 2 * sum) / n);
}

/** At the lags 1, 2, ... */
function autocorrelations(values: Float64Array): Float64Array {
  const mean = meanOf(values);
  const centred = values.map((one) => one - mean);
  const at = (lag: number) => {
    let sum = 0;
    for (let i = lag; i < centred.length; i++) sum += (centred[i] as number) * (centred[i - lag] as number);
    return sum;
  };
  const whole = at(0);
  return Float64Array.from({ length: Math.floor(values.length * AUTOCORRELATION_SHARE) }, (_, i) => at(i + 1) / whole);
}

const meanOf = (values: Float64Array): number => values.reduce((sum, one) => sum + one, 0) / values.length;
