import { markdownTable, markdownText } from "../../../core/tables/markdown.js";
import { chargeLeftText } from "../../../core/text/charge-left.js";
import { shownValue } from "../../../core/uncertainty/digits.js";
import { durationOf } from "../../../core/use/use.js";
import {
  durationText,
  type NamedPrediction,
  type NamedPredictions,
  probabilityText,
  stepsText,
  WHOSE,
} from "./prediction-words.js";

const HEADER = ["", "holds it", "probability of holding it", "lasts [s]", "margin [V/cell]", "charge left", "ends by"];

/** A table for a forum post: whether each pack holds a use, values with U = 2 u, and the cautions. */
export function predictionsMarkdown({ use, items }: NamedPredictions, address: string): string {
  const title = `**Packs under a use of ${durationText(durationOf(use))}: ${stepsText(use)}**`;
  const basis = `${WHOSE[items[0]?.of ?? "mean"]}; ${Math.round(100 * use.reserve)} % in reserve, from ${use.startC} °C. ± is U = 2 u, about 95 %.`;
  const needed = items.flatMap(({ name, needed: runs }) =>
    runs.map(({ message }) => `- To say more of ${markdownText(name)}: ${markdownText(message)}.`),
  );
  const cautions = [...new Set(items.flatMap((item) => item.cautions))].map((caution) => `- ${markdownText(caution)}`);
  const table = markdownTable(HEADER, items.map(cellsOf));
  const lists = [...cautions, ...needed].join("\n");
  return `${title}\n\n${table}\n\n${basis}\n\n${lists}\n\nSource: <${address}>\n`;
}

function cellsOf(item: NamedPrediction): string[] {
  const { name, holds, probability, lasts, marginVoltsPerCell, marginUncertainty, shareLeft, limit } = item;
  return [
    markdownText(name),
    holds === null ? "not known" : holds ? "yes" : "no",
    probability === null ? "" : probabilityText(probability),
    lasts === null
      ? ""
      : lasts.isLowerBound
        ? `≥ ${Number(lasts.value.toPrecision(3))}`
        : interval(lasts.value, lasts.uncertainty),
    marginVoltsPerCell === null ? "" : interval(marginVoltsPerCell, marginUncertainty ?? 0),
    shareLeft === null ? "" : chargeLeftText(shareLeft),
    limit === null ? "" : `${limit.reason} at ${interval(limit.at.value, limit.at.uncertainty)} s`,
  ];
}

function interval(value: number, uncertainty: number): string {
  const shown = shownValue(value, 2 * uncertainty);
  return `${shown.value} ± ${shown.uncertainty}`;
}
