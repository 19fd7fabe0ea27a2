import type { LogError } from "../log-error.js";
import { splitFields } from "./fields.js";
import { fitHeader } from "./fit-header.js";
import type { HeadRecord } from "./head-records.js";
import type { Candidate } from "./judge.js";
import { headerMissing, headerOfOtherWidth } from "./layout-refusals.js";
import { isSeparator } from "./separators.js";
import { isUnitsRow } from "./units-row.js";

/** The names above the data, and what stands between. */
export interface FoundHeader {
  readonly headers: readonly string[];
  readonly headerLine: number;
  readonly unitsRow: readonly string[] | null;
  readonly refusal: LogError | null;
  /** How many names the line above the data has; null where it has none. */
  readonly names: number | null;
}

/** The nearest line above the data that is no separator, and a row of units between. */
export function findHeader(records: readonly HeadRecord[], best: Candidate, data: readonly string[]): FoundHeader {
  const { delimiter, width, firstData } = best;
  const below = { delimiter, width, lines: data };
  const first = records[firstData] as HeadRecord;
  const above = records.slice(0, firstData).filter(({ text }) => !isSeparator(text));
  const nearest = above.at(-1);
  const next = above.at(-2);
  const unnamed = Array.from({ length: width }, () => "");
  if (!nearest) {
    return {
      headers: unnamed,
      headerLine: first.line,
      unitsRow: null,
      refusal: headerMissing(first.line),
      names: null,
    };
  }
  if (next && isUnitsRow(nearest.text, delimiter)) {
    const names = fitHeader(next.text, below);
    const units = fitHeader(nearest.text, below);
    if (names && units && isNames(names)) {
      return { headers: names, headerLine: next.line, unitsRow: units, refusal: null, names: names.length };
    }
  }
  const names = fitHeader(nearest.text, below);
  if (names && isNames(names)) {
    return { headers: names, headerLine: nearest.line, unitsRow: null, refusal: null, names: names.length };
  }
  const cells = splitFields(nearest.text, delimiter);
  const isHeaderLike = cells.length > 1 && isNames(cells) && nearest.line === first.line - 1;
  const refusal = isHeaderLike ? headerOfOtherWidth(nearest, cells.length, first, width) : headerMissing(first.line);
  return {
    headers: unnamed,
    headerLine: first.line,
    unitsRow: null,
    refusal,
    names: isHeaderLike ? cells.length : null,
  };
}

/** A row of numbers, or of prose, names no columns: most names hold letters. */
function isNames(cells: readonly string[]): boolean {
  const named = cells.filter((cell) => cell.trim() !== "");
  return named.filter((cell) => /\p{L}|[%°#]/u.test(cell)).length * 2 > named.length && named.length > 0;
}
