import { parseScaledUnit } from "../../units/units.js";
import type { Delimiter } from "./delimiters.js";
import { splitFields } from "./fields.js";

const UNIT_LIKE = /^[[({]?\s*(°|deg)?[\p{L}µμ%°]{0,5}(:[a-z]+)*[a-z.:]*\s*[\])}]?$/iu;
const NO_UNIT = /^([^\p{L}\p{N}%°℃℉]*|none|n\/a)$/iu;

/** Whether most cells of a line are spelt as units, and none is a longer text. */
export function isUnitsRow(line: string, delimiter: Delimiter): boolean {
  const cells = splitFields(line.replace(/^\s*(#+|\/\/)\s*/, ""), delimiter)
    .map((cell) => cell.trim().replaceAll('"', ""))
    .filter((cell) => !NO_UNIT.test(cell));
  const bare = (cell: string) => cell.replace(/^[[({]\s*|\s*[\])}]$/g, "");
  const known = cells.filter((cell) => parseScaledUnit(bare(cell)) !== null || /^%$/.test(bare(cell)));
  const short = cells.every((cell) => known.includes(cell) || (cell.length <= 12 && UNIT_LIKE.test(cell)));
  return short && cells.length > 0 && known.length * 2 > cells.length;
}
