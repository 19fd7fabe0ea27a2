import type { TableHead } from "../table/table.js";
import type { Column } from "./column.js";
import { readHeader } from "./header.js";
import { fold } from "./words.js";

/** The columns of a log as their headers, units and first cells show them. */
export function columnsOf(head: TableHead): readonly Column[] {
  const read = head.headers.map((header, index) => ({
    ...readHeader(header, head.unitsRow?.[index] ?? null, head.cellUnits[index] ?? null),
    header,
    index,
    firstCell: (head.firstCells[index] ?? "").trim().replaceAll('"', ""),
  }));
  const isUnitAlone = ({ words, numbers, unit }: (typeof read)[number]) =>
    words.length === 0 && numbers.length === 0 && unit !== null;
  const named = read.filter(({ header }) => header !== "");
  const ofUnits = named.filter(isUnitAlone).length >= Math.min(3, named.length);
  return read.map((column) => ({
    ...column,
    ...(isOneOfSeveralLetters(column, read)
      ? { unit: null, words: [...column.words, fold(column.header.trim().slice(-1))] }
      : {}),
    isOneOfUnits: ofUnits && isUnitAlone(column),
  }));
}

type ReadColumn = Omit<Column, "isOneOfUnits">;

/** "Current A" beside "Current B": the letter tells columns apart and is no unit. */
function isOneOfSeveralLetters(column: ReadColumn, columns: readonly ReadColumn[]): boolean {
  if (!column.unitIsUnmarked) return false;
  const stem = column.header.trim().slice(0, -1);
  return columns.some(({ header, unit }) => {
    const other = header.trim();
    return unit === null && other.length === stem.length + 1 && other.startsWith(stem) && /\p{L}$/u.test(other);
  });
}
