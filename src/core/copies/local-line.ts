/** A bell is cut at so many of its standard deviations. */
const REACH = 3;

/**
 * Values less the straight line that fits the neighbourhood of each best, weighted by a bell; at both ends of what there is on one side.
 *
 * @param deviation standard deviation of the bell, in values
 */
export function lessLocalLine(values: Float64Array, deviation: number): Float64Array {
  const reach = Math.max(2, Math.round(REACH * deviation));
  const bell = Float64Array.from({ length: 2 * reach + 1 }, (_, i) => Math.exp(-0.5 * ((i - reach) / deviation) ** 2));
  return values.map((value, i) => {
    let [weights, places, squares, sum, moments] = [0, 0, 0, 0, 0];
    const end = Math.min(reach, values.length - 1 - i);
    for (let k = Math.max(-reach, -i); k <= end; k++) {
      const weight = bell[k + reach] as number;
      const weighted = weight * (values[i + k] as number);
      weights += weight;
      places += weight * k;
      squares += weight * k * k;
      sum += weighted;
      moments += weighted * k;
    }
    return value - (squares * sum - places * moments) / (weights * squares - places * places);
  });
}
