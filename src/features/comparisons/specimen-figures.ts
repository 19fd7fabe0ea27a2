import { testerEstimate } from "../../core/statistics/tester-estimate.js";
import type { KnownFigure } from "./comparison-rows.js";

/** A figure of one accepted run of a specimen. */
export interface SpecimenFigureRow extends Omit<KnownFigure, "testers" | "runs"> {
  readonly specimenId: string;
  readonly runId: string;
}

/**
 * What the runs of a specimen say of each figure: the mean of its runs, as of one tester's. Where each of them is only a bound on the
 * same side, the one that says most; where they bound on both sides, nothing.
 */
export function specimenFigures(rows: readonly SpecimenFigureRow[]): KnownFigure[] {
  const nameOf = ({ protocol, figure, basis, load }: SpecimenFigureRow) => `${protocol} ${figure} ${basis} ${load}`;
  return [...Map.groupBy(rows, nameOf).values()].flatMap((some) => {
    const [{ specimenId: _, runId: __, ...first }] = some as [SpecimenFigureRow];
    const values = some.filter(({ bound }) => bound === "none");
    if (values.length > 0) {
      const { value, uncertainty } = testerEstimate(values);
      return [{ ...first, value, uncertainty, bound: "none", testers: 1, runs: values.length }];
    }
    if (some.some(({ bound }) => bound !== first.bound)) return [];
    const sign = first.bound === "lower" ? -1 : 1;
    const [{ value, uncertainty }] = some.toSorted((a, b) => sign * (a.value - b.value)) as [SpecimenFigureRow];
    return [{ ...first, value, uncertainty, testers: 1, runs: some.length }];
  });
}

/** The run of a specimen whose figure under a standard load is nearest to a value; null where none has it. */
export function nearestRun(
  rows: readonly SpecimenFigureRow[],
  { protocol, figure, load, value }: Pick<KnownFigure, "protocol" | "figure" | "load" | "value">,
): string | null {
  const same = rows.filter((one) => one.protocol === protocol && one.figure === figure && one.load === load);
  const [nearest] = same.toSorted((a, b) => Math.abs(a.value - value) - Math.abs(b.value - value));
  return nearest?.runId ?? null;
}
