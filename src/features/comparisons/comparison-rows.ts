import { FIGURE_KEYS } from "../../core/figures/catalogue.js";
import { LADDER_FIGURE_KEYS } from "../../core/ladder/figures.js";
import type { Bound } from "../../core/model.js";
import { differenceFrom, differenceUncertainty } from "../../core/statistics/difference.js";
import type { Estimate } from "../../core/statistics/estimate.js";
import type { LadderStepView } from "../ladders/ladders.views.js";
import { PROTOCOL_KEYS } from "../protocols/active-version.service.js";
import type { ComparisonCellView, ComparisonColumnView, ComparisonRowView } from "./comparisons.views.js";

/** Under a standard load the voltage at the cutoff is the cutoff, and current and power follow from it. */
const FIXED_BY_DEFINITION: ReadonlySet<string> = new Set(["voltage-cutoff", "current-cutoff", "power-cutoff"]);

/** The marks as people read them, each in W, V and A; then the others in the order of the catalogue. */
const MARKS = ["peak", "10s", "30s", "cutoff"].flatMap((mark) =>
  ["power", "voltage", "current"].map((quantity) => `${quantity}-${mark}`),
);
const ROW_KEYS = [...new Set([...MARKS, ...FIGURE_KEYS, ...LADDER_FIGURE_KEYS])];

export interface KnownFigure extends Estimate {
  readonly protocol: string;
  readonly figure: string;
  readonly unit: string;
  readonly basis: "own" | "translated";
  /** The standard load, A; null under the runs' own loads. */
  readonly load: number | null;
  readonly bound: Bound;
  /** Of a pack: whether its confirmed value stays, since what the results give has left it. */
  readonly disputed?: boolean;
  /** Testers and runs behind it; 1 for a single run. */
  readonly testers: number;
  readonly runs: number;
}

/** One column with what is known of it. */
export interface Column {
  readonly view: ComparisonColumnView;
  readonly figures: readonly KnownFigure[];
  /** Id of the run whose curve stands for the column: that whose figure at a standard load is nearest to one. */
  readonly runNear: (figure: KnownFigure) => Promise<string | null>;
  /** Of a ladder. */
  readonly steps?: readonly LadderStepView[];
}

/**
 * A row for every figure that any column knows, under the common standard load and, beside it, under the runs' own loads; what was found under
 * one protocol is never set against another. By protocol, the standard load first. What the standard load and the cutoff fix by themselves
 * is not compared.
 */
export function rowsOf(columns: readonly Column[], baselineIndex: number, common: number | null): ComparisonRowView[] {
  const sides = PROTOCOL_KEYS.flatMap((protocol) => [
    ...(common === null ? [] : [{ protocol, basis: "translated", load: common } as const]),
    { protocol, basis: "own", load: null } as const,
  ]);
  return sides.flatMap(({ protocol, basis, load }) =>
    ROW_KEYS.flatMap((figure) => {
      if (load !== null && FIXED_BY_DEFINITION.has(figure)) return [];
      const isThis = (one: KnownFigure) => one.figure === figure && one.load === load && one.protocol === protocol;
      const known = columns.map(({ figures }) => figures.find(isThis) ?? null);
      const unit = known.find((one) => one !== null)?.unit;
      if (unit === undefined) return [];
      const baseline = known[baselineIndex] ?? null;
      return [{ figure, unit, protocol, basis, load, cells: known.map((one) => cellOf(one, baseline)) }];
    }),
  );
}

type CellFacts = Estimate & Pick<KnownFigure, "bound" | "testers" | "runs" | "disputed">;

/** A cell against the baseline; a bound has no difference, for nobody knows how far beyond it the value lies. */
export function cellOf(known: CellFacts | null, baseline: CellFacts | null): ComparisonCellView {
  const { value = null, uncertainty = null, bound = null, testers = null, runs = null, disputed = null } = known ?? {};
  const cell = { value, uncertainty, bound, disputed, testers, runs };
  if (!known || !baseline || known.bound !== "none" || baseline.bound !== "none") return { ...cell, ...NO_DIFFERENCE };
  const isBaseline = known === baseline;
  return { ...cell, ...differenceFrom(baseline, known), ...differenceUncertainty(baseline, known, isBaseline) };
}

const NO_DIFFERENCE = {
  difference: null,
  differencePercent: null,
  differenceUncertainty: null,
  differencePercentUncertainty: null,
  distinguishable: null,
};
