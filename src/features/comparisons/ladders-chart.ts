import type { LineChart, Series } from "../../core/pictures/picture.js";
import { COVERAGE_FACTOR } from "../../core/uncertainty/coverage-factor.js";
import type { Source } from "../../platform/http/requests/forms.js";
import type { LadderStepView } from "../ladders/ladders.views.js";
import { columnName } from "./comparison-chart.js";
import type { ComparisonView } from "./comparisons.views.js";

const SIGN = { none: "", lower: "≥ ", upper: "≤ " } as const;

/** Highest temperature and capacity of the steps of several ladders against their currents. */
export function laddersChart(
  { columns, steps, rows, link, baseline }: ComparisonView,
  { origin, date }: Source,
): LineChart {
  const names = columns.map(columnName);
  const series = (heightOf: (step: LadderStepView) => number): Series[] =>
    columns.flatMap((_, index) =>
      [true, false].map((passes) => ({
        index,
        kind: "marks" as const,
        hollow: !passes,
        points: steps.flatMap(({ cells }) => {
          const step = cells[index]?.step;
          if (!step || step.passes !== passes) return [];
          return [{ x: step.currentA, y: heightOf(step), xHalf: COVERAGE_FACTOR * step.currentUncertaintyA }];
        }),
      })),
    );
  const verified = rows.find(({ figure }) => figure === "verified-current")?.cells ?? [];
  const notes = names.map((name, i) => {
    const { value = null, bound = null } = verified[i] ?? {};
    return value === null
      ? `${name}: the steps cannot be taken together.`
      : `${name}: verified ${SIGN[bound ?? "none"]}${value.toFixed(1)} A.`;
  });
  return {
    kind: "lines",
    caption: {
      title: `${columns.length} ladders of constant currents`,
      subtitle:
        "A filled step passes: it reaches the cutoff with the pack below the temperature limit all the way. A hollow one fails.",
      description: `Steps of ${names.join(", ")}.`,
      notes,
      source: `${origin}${link}`,
      date,
    },
    across: { name: "Mean current", unit: "A" },
    legend: columns.map(({ id }, index) => {
      return { index, kind: "marks", name: `${names[index]}${id === baseline ? " (baseline)" : ""}` };
    }),
    panels: [
      { quantity: { name: "Highest temperature", unit: "°C" }, series: series(({ highestC }) => highestC) },
      { quantity: { name: "Capacity", unit: "mAh" }, series: series(({ capacityMah }) => capacityMah) },
    ],
  };
}
