import type { JudgedFigure } from "./judged-figure.js";

/** What many judged figures of one kind show. */
export interface Summary {
  readonly figure: string;
  readonly count: number;
  /** Root mean square of the error, as a share of the truth. */
  readonly rms: number;
  /** 95 % quantile of the error's magnitude, as a share of the truth. */
  readonly quantile95: number;
  /** Share of the errors within 2 u. */
  readonly within2u: number;
  /** The k of an interval of k u that holds 95 % of the errors: 2 is right, above 2 the stated u is too small. */
  readonly factor95: number;
  /** Median of the stated U = 2 u over the 95 % quantile of the error: 1 is right where all runs are alike. */
  readonly timesTooWide: number;
}

export function summaryOf(figure: string, judged: readonly JudgedFigure[]): Summary {
  const errors = judged.map(({ value, truth }) => Math.abs(value / truth - 1));
  const stated = judged.map(({ uncertainty, truth }) => Math.abs((2 * uncertainty) / truth));
  const within = judged.filter(({ value, truth, uncertainty }) => Math.abs(value - truth) <= 2 * uncertainty);
  const quantile95 = quantile(errors, 0.95);
  return {
    figure,
    count: judged.length,
    rms: Math.sqrt(errors.reduce((sum, error) => sum + error * error, 0) / errors.length),
    quantile95,
    within2u: within.length / judged.length,
    factor95: quantile(
      judged.map(({ value, truth, uncertainty }) => Math.abs(value - truth) / uncertainty),
      0.95,
    ),
    timesTooWide: quantile(stated, 0.5) / quantile95,
  };
}

/** One summary for each figure, in the order in which they first come. */
export function summariesOf(judged: readonly JudgedFigure[]): Summary[] {
  return [...Map.groupBy(judged, ({ key }) => key)].map(([key, ones]) => summaryOf(key, ones));
}

/** The value below which `share` of all lie, on the line between neighbours. */
export function quantile(values: readonly number[], share: number): number {
  if (values.length === 0) return Number.NaN;
  const sorted = [...values].sort((a, b) => a - b);
  const place = share * (sorted.length - 1);
  const low = Math.floor(place);
  const [below, above] = [sorted[low] as number, sorted[Math.min(low + 1, sorted.length - 1)] as number];
  return below + (place - low) * (above - below);
}

/** Two standard deviations by which a share of so many draws departs from `share` by chance. */
export const chance = (share: number, count: number): number => 2 * Math.sqrt((share * (1 - share)) / count);
