import { departure } from "../../../core/record/holds.js";
import type { RankedResult } from "../../../core/record/standing.js";
import { coverageFactor } from "../../../core/uncertainty/coverage-factor.js";
import { loadOfColumn } from "../../../platform/database/rows/load-column.js";
import type { FigureStanding } from "../results/pack-figures.js";
import type { DisputeView, HeldResultView, HeldTesterView } from "./standing-reviews.views.js";

/** The disputed standings among these. */
export function disputesOf(found: readonly FigureStanding[]): DisputeView[] {
  return found.flatMap(({ figure, load, unit, standing }) => {
    const { value, computedValue, uncertainty, degreesOfFreedom, testers } = standing;
    if (!standing.disputed || computedValue === null) return [];
    const expandedUncertainty = coverageFactor(degreesOfFreedom) * uncertainty;
    return [{ figure, load: loadOfColumn(load), unit, value, computedValue, expandedUncertainty, testers }];
  });
}

/** Results that are held, by tester; handles are those of accounts by id. */
export function heldOf(
  found: readonly FigureStanding[],
  testers: ReadonlyMap<string, { readonly id: string; readonly handle: string }>,
): HeldTesterView[] {
  const held = found.flatMap((one) =>
    one.standing.heldTesterIds.map((id) => {
      const result = one.results.find(({ testerId }) => testerId === id) as RankedResult;
      return { id, status: result.status, view: heldResult(one, result) };
    }),
  );
  return [...Map.groupBy(held, ({ id }) => id)].map(([id, some]) => ({
    tester: testers.get(id) ?? { id, handle: id },
    status: some[0]?.status ?? "new",
    results: some.map(({ view }) => view),
  }));
}

function heldResult(
  { figure, load, unit, standing, results, relativeSd }: FigureStanding,
  { value, uncertainty, ...rest }: RankedResult,
): HeldResultView {
  const counted = results.filter(({ testerId }) => standing.countedTesterIds.includes(testerId));
  return {
    figure,
    load: loadOfColumn(load),
    unit,
    value,
    uncertainty,
    othersValue: standing.consensus.value,
    othersUncertainty: standing.consensus.uncertainty,
    departure: departure({ value, uncertainty, ...rest }, counted, relativeSd),
  };
}
