import type { DrawnFigure } from "./draw.js";

/** What many draws of one figure showed. */
export interface Coverage {
  readonly figure: string;
  readonly draws: number;
  /** Share of the draws whose true value lies within 2 u. */
  readonly within2u: number;
  /** Mean of u as a share of the value. */
  readonly relativeU: number;
  /** Mean of the error over u, and its root mean square: 0 and 1 for an honest budget. */
  readonly meanErrorOverU: number;
  readonly rmsErrorOverU: number;
}

/** The coverage of every figure, own and translated, in the order of their first draw. */
export function coverageOf(figures: Iterable<DrawnFigure>): Coverage[] {
  const groups = new Map<string, DrawnFigure[]>();
  for (const one of figures) {
    const name = `${one.key} (${one.side})`;
    const group = groups.get(name);
    if (group) group.push(one);
    else groups.set(name, [one]);
  }
  return Array.from(groups, ([figure, drawn]) => {
    const errors = drawn.map(({ value, truth, uncertainty }) => (value - truth) / uncertainty);
    const mean = (values: readonly number[]) => values.reduce((sum, value) => sum + value, 0) / values.length;
    return {
      figure,
      draws: drawn.length,
      within2u: mean(errors.map((error) => (Math.abs(error) <= 2 ? 1 : 0))),
      relativeU: mean(drawn.map(({ value, uncertainty }) => uncertainty / value)),
      meanErrorOverU: mean(errors),
      rmsErrorOverU: Math.sqrt(mean(errors.map((error) => error * error))),
    };
  });
}
