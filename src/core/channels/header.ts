import { parseUnit, type Unit } from "../units/units.js";

/** A column header taken apart. */
export interface HeaderParts {
  /** Lower case, without accents and unit, cut at everything that is no letter or digit. */
  readonly words: readonly string[];
  readonly unit: Unit | null;
  /** The text in the place of a unit that is no unit known here, such as "bar". */
  readonly unknownUnit: string | null;
}

const BRACKETED = /^(.*?)\s*[[({]\s*([^\])}]+)\s*[\])}]\s*$/;
const TRAILING = /^(.*?)(?:\s*[/,]\s*|_|\s+in\s+|\s+)([^\s/,_]+)$/;

/**
 * The words and the unit of a column header: the unit in brackets or parentheses, after a slash, comma, underscore
 * or blank, or the header itself when it is nothing but a unit. A units row, where the log has one, comes first.
 */
export function readHeader(header: string, unitsRowCell: string | null): HeaderParts {
  const fromRow = unitsRowCell === null ? null : parseUnit(stripBrackets(unitsRowCell));
  const bracketed = BRACKETED.exec(header);
  const trailing = bracketed ? null : TRAILING.exec(header.trim());
  if (bracketed) {
    const unit = fromRow ?? parseUnit(bracketed[2] ?? "");
    return { words: wordsOf(bracketed[1] ?? ""), unit, unknownUnit: unit ? null : (bracketed[2] ?? null) };
  }
  const trailingUnit = trailing ? parseUnit(trailing[2] ?? "") : null;
  if (trailing && trailingUnit) {
    return { words: wordsOf(trailing[1] ?? ""), unit: fromRow ?? trailingUnit, unknownUnit: null };
  }
  return { words: wordsOf(header), unit: fromRow ?? parseUnit(header), unknownUnit: null };
}

function stripBrackets(text: string): string {
  return text.trim().replace(/^[[({]\s*|\s*[\])}]$/g, "");
}

function wordsOf(text: string): string[] {
  return text
    .normalize("NFKD")
    .replace(/\p{Diacritic}/gu, "")
    .replace(/[łŁ]/g, "l")
    .replace(/([a-z])([A-Z])/g, "$1 $2")
    .toLowerCase()
    .replace(/([a-z])(\d)/g, "$1 $2")
    .split(/[^\p{L}\p{N}]+/u)
    .filter((word) => word !== "");
}
