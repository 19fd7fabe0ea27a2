const { floor, max, min } = Math;

/** A channel that is linear between its samples, with exact integrals. */
export interface Piecewise {
  at(seconds: number): number;
  integral(fromSeconds: number, toSeconds: number): number;
  mean(fromSeconds: number, toSeconds: number): number;
}

/** Over an even grid that starts at `startSeconds`. */
export function piecewise(startSeconds: number, stepSeconds: number, values: Float64Array): Piecewise {
  const sums = new Float64Array(values.length);
  for (let i = 1; i < values.length; i += 1) {
    sums[i] = (sums[i - 1] as number) + (((values[i - 1] as number) + (values[i] as number)) * stepSeconds) / 2;
  }
  const place = (seconds: number) => {
    const position = (seconds - startSeconds) / stepSeconds;
    const index = min(max(floor(position), 0), values.length - 2);
    return { index, share: position - index };
  };
  const at = (seconds: number) => {
    const { index, share } = place(seconds);
    return (values[index] as number) * (1 - share) + (values[index + 1] as number) * share;
  };
  const until = (seconds: number) => {
    const { index, share } = place(seconds);
    return (sums[index] as number) + ((values[index] as number) + at(seconds)) * 0.5 * share * stepSeconds;
  };
  const integral = (from: number, to: number) => until(to) - until(from);
  return { at, integral, mean: (from, to) => integral(from, to) / (to - from) };
}
