import type { RowChart } from "../../../core/pictures/picture.js";
import { csvOf } from "../../../core/tables/csv.js";
import { markdownTable } from "../../../core/tables/markdown.js";
import { CHEMISTRY_NAMES } from "../../../core/text/chemistry-names.js";
import type { Source } from "../../../platform/http/requests/forms.js";
import type { RecordValidationView, ValidatedClassView } from "./record-validation.views.js";

const TITLE = "Runs predicted from the other runs of their packs";
const BASIS =
  "Each run is left out of its pack's model, which then predicts it. Errors are predicted less measured; of a share within U, the stated uncertainties alone count, which a pack's own disagreement widens afterwards.";

/** Columns of a class with their headers. */
const COLUMNS: readonly (readonly [string, keyof ValidatedClassView])[] = [
  ["packs", "packs"],
  ["runs", "runs"],
  ["voltage rms error [%]", "voltagePercentRms"],
  ["voltage within 2 u", "voltageCoverage"],
  ["timed runs", "timedRuns"],
  ["time mean error [%]", "timePercentMean"],
  ["time rms error [%]", "timePercentRms"],
  ["time within 2 u", "timeCoverage"],
  ["probed runs", "probedRuns"],
  ["temperature mean error [K]", "temperatureMean"],
  ["temperature rms error [K]", "temperatureRms"],
  ["temperature within 2 u", "temperatureCoverage"],
];

/** One row for all packs, each chemistry and each class. */
export function validationCsv({ items }: RecordValidationView): string {
  const header = ["chemistry", "series", ...COLUMNS.map(([name]) => name)];
  return csvOf(
    header,
    items.map((one) => [one.chemistry, one.series, ...COLUMNS.map(([, key]) => one[key])]),
  );
}

const HEADER = [
  ...["", "packs", "runs", "voltage rms [%]", "within U", "time mean [%]", "time rms [%]", "within U"],
  ...["temperature mean [K]", "temperature rms [K]", "within U"],
];

/** A table for a forum post. */
export function validationMarkdown({ items }: RecordValidationView, address: string): string {
  const rows = items.map((one) => [
    ...[nameOf(one), String(one.packs), String(one.runs), fixed(one.voltagePercentRms), percent(one.voltageCoverage)],
    ...[fixed(one.timePercentMean), fixed(one.timePercentRms), percent(one.timeCoverage)],
    ...[fixed(one.temperatureMean), fixed(one.temperatureRms), percent(one.temperatureCoverage)],
  ]);
  return `**${TITLE}**\n\n${markdownTable(HEADER, rows)}\n\n${BASIS} U = 2 u.\n\nSource: <${address}>\n`;
}

/** The time to the cutoff, class by class: its mean error with the root mean square on both sides. */
export function validationChart({ items }: RecordValidationView, { address, date }: Source): RowChart {
  const rows = items.flatMap((one) => {
    const { timePercentMean: value, timePercentRms: half, timeCoverage, timedRuns, packs } = one;
    if (value === null || half === null) return [];
    return [
      {
        ...{ name: nameOf(one), text: `rms ${half.toFixed(1)} % · ${timedRuns} runs`, value, half },
        ...{ index: one.series === null ? 0 : 1, more: `${percent(timeCoverage)} within U, ${packs} packs` },
      },
    ];
  });
  return {
    kind: "rows",
    caption: {
      title: `${TITLE}: the time to the cutoff`,
      subtitle: "Marks: the mean of predicted less measured time. Bars: the root mean square error on both sides.",
      description:
        rows.map(({ name, text, more }) => `${name}: ${text}, ${more}.`).join(" ") || "No run was validated yet.",
      notes: [BASIS],
      source: address,
      date,
    },
    quantity: { name: "Error of the time to the cutoff", unit: "%" },
    legend: [],
    rows: rows.map(({ more: _, ...row }) => row),
  };
}

function nameOf({ chemistry, series }: ValidatedClassView): string {
  if (chemistry === null) return "all packs";
  const name = CHEMISTRY_NAMES[chemistry];
  return series === null ? `all ${name}` : `${name} ${series}S`;
}

const fixed = (value: number | null): string => {
  if (value === null) return "";
  const text = value.toFixed(2);
  return Number(text) === 0 ? text.replace("-", "") : text.replace("-", "−");
};

const percent = (share: number | null): string => (share === null ? "" : `${(100 * share).toFixed(1)} %`);
