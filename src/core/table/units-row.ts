import type { Delimiter } from "./delimiter.js";
import { splitFields } from "./fields.js";

const UNIT_LIKE = /^[[({]?\s*(°|deg)?[a-zµμ%]{0,4}(:[a-z]+)*[a-z.:]*\s*[\])}]?$/i;
const UNIT_SPELLING = /^(m?s|sec|[uµμ]s|min|h|m?v|m?a|k?w|m?ah|m?wh|°?[cfk]|deg[cf]|%|(h+:m+:s+|m+:s+)(\.[sf0]+)?)$/i;

/** Whether most cells of a line are spelt as units, and none is a longer text. */
export function isUnitsRow(line: string, delimiter: Delimiter): boolean {
  const cells = splitFields(line, delimiter)
    .map((cell) => cell.trim())
    .filter((cell) => !/^(\W*|none|n\/a)$/i.test(cell) || cell === "%");
  const short = cells.every((cell) => cell.length <= 12 && UNIT_LIKE.test(cell));
  const known = cells.filter((cell) => UNIT_SPELLING.test(cell.replace(/^[[({]\s*|\s*[\])}]$/g, "")));
  return short && cells.length > 0 && known.length * 2 > cells.length;
}
