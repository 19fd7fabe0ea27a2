import { parseUnit, type Unit } from "../../units/units.js";
import type { DecimalMark } from "./delimiters.js";
import type { FoundHeader } from "./header.js";
import { looseIn } from "./judge.js";

const HOLDS_LETTERS = /[^\d\s.,+\-:"']/;

/** The units that cells, names or a units row state in brackets or at their end. */
export function unitsOf(
  { headers, unitsRow }: Pick<FoundHeader, "headers" | "unitsRow">,
  cellUnits: readonly (string | null)[],
): readonly (Unit | null)[] {
  const bare = (text: string) => text.replace(/[[\](){}]/g, "").trim();
  const stated = (header: string) =>
    parseUnit(bare(/[[(/_, ][^[(/_, ]*$/.exec(header.trim())?.[0].replace(/^[/_, ]/, "") ?? ""));
  return headers.map(
    (header, at) => parseUnit(cellUnits[at] ?? "") ?? parseUnit(bare(unitsRow?.[at] ?? "")) ?? stated(header),
  );
}

/** The unit beside the first number of a column that has one; null where the numbers stand alone. */
export function cellUnit(sample: readonly (readonly string[])[], column: number, mark: DecimalMark): string | null {
  for (const cells of sample) {
    const cell = cells[column] ?? "";
    if (!HOLDS_LETTERS.test(cell)) continue;
    const unit = looseIn(cell, mark)?.unitText;
    if (unit) return unit;
  }
  return null;
}
