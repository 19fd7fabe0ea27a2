import type {
  ComparisonCellView,
  ComparisonRowView,
  ComparisonView,
} from "../../features/comparisons/comparisons.views.js";
import { knownValue } from "../known-value.js";
import { anyone, type ServerOption } from "../session/client-of.js";
import { textTable } from "../text-table.js";
import { UsageError } from "../usage-error.js";
import { packNamed } from "./pack-named.js";

export interface CompareOptions extends ServerOption {
  readonly runs?: boolean;
  readonly load?: number;
  readonly csv?: boolean;
  readonly markdown?: boolean;
}

/** Puts packs, or runs, side by side, in percent of the first. */
export async function compare(
  names: readonly string[],
  { runs, load, csv, markdown, ...at }: CompareOptions,
): Promise<void> {
  if (names.length < 2) throw new UsageError("Name two or more to compare; the others are set against the first.");
  const client = await anyone(at);
  const ids: string[] = [];
  for (const name of names) ids.push(runs ? name : (await packNamed(client, name)).id);
  const query = new URLSearchParams({ [runs ? "runs" : "packs"]: ids.join(",") });
  if (load !== undefined) query.set("load", String(load));
  if (csv || markdown) {
    const [ending, mediaType] = csv ? ["csv", "text/csv"] : ["md", "text/markdown"];
    process.stdout.write(await client.table(`/v1/comparisons.${ending}?${query}`, mediaType));
    return;
  }
  const found = await client.get<ComparisonView>(`/v1/comparisons?${query}`);
  const titles = found.columns.map(({ kind, id, pack }) =>
    kind === "run" ? `${pack.name} ${id.slice(-6)}` : pack.name,
  );
  const header = ["figure", "load", "unit", ...titles];
  const rows = found.rows.map((row) => [
    row.figure,
    loadOf(row),
    row.unit,
    ...row.cells.map((cell, i) => cellText(cell, i === 0)),
  ]);
  if (rows.length === 0)
    return console.log("They have no results yet: a pack has none before a run of it is accepted.");
  console.log(textTable(header, rows));
  console.log(
    `In percent of ${titles[0]}, whose values are +- U, U = 2 u; ~ where the difference does not exceed its uncertainty.`,
  );
}

const loadOf = ({ basis, load }: ComparisonRowView): string =>
  basis === "translated" && load !== null ? `${load} A` : "own";

function cellText(
  { value, uncertainty, differencePercent, distinguishable }: ComparisonCellView,
  isBaseline: boolean,
): string {
  if (value === null) return "-";
  if (isBaseline) return uncertainty === null ? digits(value) : knownValue(value, 2 * uncertainty);
  if (differencePercent === null) return digits(value);
  // What rounds to nothing has no sign.
  const percent = Number(differencePercent.toFixed(1)) || 0;
  return `${percent > 0 ? "+" : ""}${percent.toFixed(1)} %${distinguishable ? "" : " ~"}`;
}

const digits = (value: number): string => String(Number(value.toPrecision(4)));
