import { parseUnit, type Unit } from "../units/units.js";
import { WORDS_OF_CHANNEL, WORDS_OF_QUALIFIERS } from "./words.js";

/** A column header taken apart. */
export interface HeaderParts {
  /** Lower case, without accents and unit, cut at everything that is no letter or digit. */
  readonly words: readonly string[];
  readonly unit: Unit | null;
  /** The unit is spelt by one letter, which may stand for something else. */
  readonly unitIsBareLetter: boolean;
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
  const { text, unitText, certain } = splitUnit(header);
  const spellings = [unitsRowCell === null ? null : stripBrackets(unitsRowCell), unitText];
  const spelling = spellings.find((one) => one !== null && parseUnit(one) !== null) ?? null;
  return {
    words: wordsOf(text),
    unit: spelling === null ? null : parseUnit(spelling),
    unitIsBareLetter: spelling !== null && /^\s*[a-z]\s*$/i.test(spelling),
    unknownUnit: spelling === null && certain ? unitText : null,
  };
}

/** A header cut into its words and what stands in the place of its unit; `certain` when brackets mark that place. */
function splitUnit(header: string): { text: string; unitText: string | null; certain: boolean } {
  const bracketed = BRACKETED.exec(header);
  if (bracketed) return { text: bracketed[1] ?? "", unitText: bracketed[2] ?? null, certain: true };
  const trailing = TRAILING.exec(header.trim());
  const last = trailing?.[2] ?? null;
  if (trailing && last !== null && isQualifierOf(trailing[1] ?? "", last)) {
    const { text, unitText, certain } = splitUnit(trailing[1] ?? "");
    return { text: `${text} ${last}`, unitText, certain };
  }
  if (trailing && last !== null && parseUnit(last)) return { text: trailing[1] ?? "", unitText: last, certain: false };
  return { text: header, unitText: header, certain: false };
}

/** "V min" is a smallest voltage; "t min" is a time in minutes. */
function isQualifierOf(text: string, word: string): boolean {
  const words = wordsOf(text);
  return WORDS_OF_QUALIFIERS.has(word.toLowerCase()) && !words.some((one) => WORDS_OF_CHANNEL.get("time")?.has(one));
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
