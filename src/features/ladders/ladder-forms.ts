import type { LineChart, Point, Series } from "../../core/pictures/picture.js";
import { nameWithin } from "../../core/pictures/svg.js";
import { csvOf } from "../../core/tables/csv.js";
import { markdownTable, markdownText } from "../../core/tables/markdown.js";
import { COVERAGE_FACTOR } from "../../core/uncertainty/coverage-factor.js";
import { shownValue } from "../../core/uncertainty/digits.js";
import type { Source } from "../../platform/http/requests/forms.js";
import type { LadderStepView, LadderView } from "./ladders.views.js";

const HEADER = [
  ...["run", "setpoint [A]", "current [A]", "current uncertainty [A]", "capacity [mAh]", "runtime [s]", "stop"],
  ...["start [degC]", "highest [degC]", "ambient [degC]", "passes", "review"],
];

/** One row for each step. */
export function ladderCsv({ steps }: LadderView): string {
  const rows = steps.map((one) => [
    ...[one.runId, one.setpointA, one.currentA, one.currentUncertaintyA, one.capacityMah, one.runtimeS, one.stop],
    ...[one.startC, one.highestC, one.ambientC, String(one.passes), one.review],
  ]);
  return csvOf(HEADER, rows);
}

/** A table for a forum post: the steps, and the verified continuous current. */
export function ladderMarkdown(ladder: LadderView, address: string): string {
  const header = ["Current [A]", "capacity [mAh]", "runtime [s]", "highest temperature [°C]", "passes"];
  const rows = ladder.steps.map((one) => [
    currentText(one.currentA, one.currentUncertaintyA),
    ...[
      one.capacityMah.toFixed(0),
      one.runtimeS.toFixed(0),
      one.highestC.toFixed(1),
      `${one.passes ? "yes" : "no"}${isWithdrawn(one) ? ", withdrawn" : ""}`,
    ],
  ]);
  const title = `**${markdownText(`${ladder.pack.maker} ${ladder.pack.name}, ${ladder.tester.handle}`)}: ladder of constant currents**`;
  const parts = [title, markdownTable(header, rows), verdictText(ladder), `Source: <${address}>`];
  return `${parts.join("\n\n")}\n`;
}

/** Highest temperature and capacity of each step against its current, with the limit and the verified continuous current. */
export function ladderChart(ladder: LadderView, { address, date }: Source): LineChart {
  const { pack, tester, steps, temperatureLimitC, verified, estimate } = ladder;
  const kinds = [true, false].filter((passes) => steps.some((step) => step.passes === passes));
  const withdrawn = steps.filter(isWithdrawn).map(({ currentA }) => `${currentA.toFixed(1)} A`);
  const series = (heightOf: (step: LadderStepView) => number): Series[] =>
    kinds.map((passes) => ({
      index: passes ? 0 : 1,
      kind: "marks",
      hollow: !passes,
      points: steps.filter((step) => step.passes === passes).map((step) => pointOf(step, heightOf(step))),
    }));
  return {
    kind: "lines",
    caption: {
      title: `${nameWithin(`${pack.maker} ${pack.name}`)}: ladder of constant currents by ${nameWithin(tester.handle)}`,
      subtitle: verdictText(ladder),
      description: steps.map((step) => `${step.currentA.toFixed(1)} A ${step.passes ? "passes" : "fails"}.`).join(" "),
      notes: [
        "A step passes when it reaches the cutoff with the pack below the temperature limit all the way.",
        ...(withdrawn.length > 0 ? [`Withdrawn when seen, and counted: ${withdrawn.join(", ")}.`] : []),
      ],
      source: address,
      date,
    },
    across: { name: "Mean current", unit: "A" },
    legend: kinds.map((passes) => {
      return { index: passes ? 0 : 1, kind: "marks", hollow: !passes, name: passes ? "passes" : "fails" };
    }),
    panels: [
      {
        quantity: { name: "Highest temperature", unit: "°C" },
        series: series(({ highestC }) => highestC),
        levels: [{ value: temperatureLimitC, name: `limit ${temperatureLimitC} °C` }],
      },
      { quantity: { name: "Capacity", unit: "mAh" }, series: series(({ capacityMah }) => capacityMah) },
    ],
    instants: [
      ...(verified
        ? [{ value: verified.value, name: `verified ${SIGN[verified.bound]}${verified.value.toFixed(1)} A` }]
        : []),
      ...(estimate
        ? [{ value: estimate.value, name: `limit estimated ${currentText(estimate.value, estimate.uncertainty)} A` }]
        : []),
    ],
  };
}

const isWithdrawn = ({ review }: LadderStepView): boolean => review === "withdrawn";

const SIGN = { none: "", lower: "≥ ", upper: "≤ " } as const;

const pointOf = ({ currentA, currentUncertaintyA }: LadderStepView, y: number): Point => {
  return { x: currentA, y, xHalf: COVERAGE_FACTOR * currentUncertaintyA };
};

function verdictText({ verified, estimate }: LadderView): string {
  if (!verified) return "The steps cannot be taken together.";
  const bracket =
    verified.upperBracketA === null ? "" : `, the lowest failing step at ${verified.upperBracketA.toFixed(1)} A`;
  const found = `Verified continuous current ${SIGN[verified.bound]}${verified.value.toFixed(1)} A${bracket}.`;
  if (!estimate) return found;
  return `${found} Limit and cutoff would coincide at ${currentText(estimate.value, estimate.uncertainty)} A.`;
}

function currentText(value: number, uncertainty: number): string {
  const shown = shownValue(value, COVERAGE_FACTOR * uncertainty);
  return `${shown.value} ± ${shown.uncertainty}`;
}
