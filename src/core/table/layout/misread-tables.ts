import { splitFields } from "./fields.js";
import type { HeadRecord } from "./head-records.js";
import { type Candidate, LINES_JUDGED, sortOf } from "./judge.js";
import { sideways, tornNumbers, twoTables } from "./layout-refusals.js";

/** A line of so many cells is no sample where there are fewer lines than that. */
const MIN_SIDEWAYS_CELLS = 20;

/** Refuses a table that lies on its side: a few long lines, each with its name before its numbers. */
export function refuseSideways(
  records: readonly HeadRecord[],
  { delimiter, decimalMark, width }: Candidate,
  lines: number,
): void {
  if (width < MIN_SIDEWAYS_CELLS || lines >= MIN_SIDEWAYS_CELLS) return;
  const long = records
    .map((record) => ({ ...record, cells: splitFields(record.text, delimiter) }))
    .filter(({ cells }) => cells.length === width);
  const [first] = long;
  if (first && long.every(({ cells }) => sortOf(cells[0] ?? "", decimalMark) === "text")) throw sideways(first, width);
}

/**
 * Refuses rows of numbers between commas that have more cells than there are names, some rows more than others or all of them twice as many:
 * another table begins above them, or their numbers have commas of their own, and no map by numbers of columns would put them together again.
 */
export function refuseTorn(
  records: readonly HeadRecord[],
  { delimiter, decimalMark, firstData, width }: Candidate,
  names: number | null,
): void {
  if (delimiter !== "," || names === null) return;
  const rows = records
    .slice(firstData, firstData + LINES_JUDGED)
    .map(({ text, line }) => ({ line, text, cells: splitFields(text, delimiter) }));
  const isOfNumbers = ({ cells }: { cells: readonly string[] }) =>
    cells.every((cell) => sortOf(cell, decimalMark) !== "text");
  const wide = rows.filter(
    (row) => row.cells.length > names && isOfNumbers(row) && row.cells.slice(names).some((cell) => cell.trim() !== ""),
  );
  const [first] = wide;
  if (!first) return;
  const above = records[records.findIndex(({ line }) => line === first.line) - 1];
  const namesAbove = above ? splitFields(above.text, delimiter) : [];
  if (
    above &&
    namesAbove.length === first.cells.length &&
    namesAbove.every((cell) => sortOf(cell, decimalMark) === "text")
  ) {
    throw twoTables(above, names, namesAbove.length);
  }
  const isUneven =
    rows.some(({ cells }) => cells.length >= names && cells.length < width) ||
    wide.some(({ cells }) => cells.length !== width);
  const isDoubled =
    width === 2 * names && wide.every(({ cells }) => cells.every((cell) => /^\s*[-+]?\d*\s*$/.test(cell)));
  if (isUneven || isDoubled) throw tornNumbers(first, names, first.cells.length);
}
