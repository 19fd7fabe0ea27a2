import { DELIMITERS } from "./delimiters.js";
import { splitFields } from "./fields.js";
import type { HeadRecord } from "./head-records.js";
import { findHeader } from "./header.js";
import {
  type Candidate,
  type JudgedLine,
  judge,
  LINES_JUDGED,
  MIN_TEXT_WEIGHT,
  numberIn,
  TEXT_WEIGHT,
  type TextWeight,
} from "./judge.js";
import { ambiguousLayout, noTable } from "./layout-refusals.js";
import { isSeparator } from "./separators.js";

const DECIMAL_MARKS = [".", ","] as const;

/**
 * The delimiter and decimal mark under which the most cells of the most lines read as numbers or times.
 *
 * @throws LogError `log-shape-unknown` when no reading gives a table, or two readings give equally good ones
 */
export function bestCandidate(lines: readonly string[], records: readonly HeadRecord[]): Candidate {
  // A decimal mark equal to the delimiter is possible only inside quoted fields.
  const quoted = lines.some((line) => line.includes('"'));
  const occurring = DELIMITERS.filter((delimiter) =>
    lines.some((line) => (delimiter === " " ? /[ \t]/.test(line.trim()) : line.includes(delimiter))),
  );
  const candidatesBy = (textWeight: TextWeight) =>
    occurring
      .flatMap((delimiter) =>
        DECIMAL_MARKS.filter((mark) => quoted || mark !== delimiter).map((mark) =>
          judge(lines, delimiter, mark, textWeight),
        ),
      )
      .filter((candidate) => candidate !== null);
  const strict = candidatesBy(TEXT_WEIGHT);
  // Much text beside few numbers is a table only under names of its own.
  const candidates =
    strict.length > 0 ? strict : candidatesBy(MIN_TEXT_WEIGHT).filter((candidate) => headerFits(records, candidate));
  const sorted = candidates.sort((a, b) => b.score - a.score);
  // Spaces also stand inside cells, such as a date and time: they delimit only what the header says they do.
  const others = sorted.filter(({ delimiter }) => delimiter !== " ");
  const othersFit = others.some((candidate) => headerFits(records, candidate));
  const [best, ...rivals] = sorted.filter((candidate) => {
    if (candidate.delimiter !== " " || others.length === 0) return true;
    return othersFit ? headerFitsWordForWord(records, candidate) : headerFits(records, candidate);
  });
  if (!best) throw noTable(records);
  // What of "16,800" is a decimal mark is settled for the whole column, where the delimiter is not in doubt.
  const rival = rivals.find((one) => one.score === best.score && one.delimiter !== best.delimiter);
  if (rival && readsDifferently(lines, best, rival)) throw ambiguousLayout(best, rival, records);
  return best;
}

function headerFits(records: readonly HeadRecord[], candidate: Candidate): boolean {
  const data = dataOf(candidate).map(({ text }) => text);
  return findHeader(records, candidate, data).refusal === null;
}

/** Each word of the line above the data, or with a unit in brackets, is one name. */
function headerFitsWordForWord(records: readonly HeadRecord[], { firstData, width }: Candidate): boolean {
  const above = records.slice(0, firstData).filter(({ text }) => !isSeparator(text));
  return above.slice(-2).some(({ text }) => splitFields(text.replace(/[ \t]+(?=[[(])/g, ""), " ").length === width);
}

function readsDifferently(lines: readonly string[], a: Candidate, b: Candidate): boolean {
  const numbers = (candidate: Candidate) => {
    const cells = splitFields(lines[candidate.firstData] ?? "", candidate.delimiter);
    // A delimiter at the end of each line begins a cell that holds nothing.
    const last = cells.findLastIndex((cell) => cell.trim() !== "");
    return cells.slice(0, last + 1).map((cell) => numberIn(cell, candidate.decimalMark));
  };
  return JSON.stringify([a.firstData, numbers(a)]) !== JSON.stringify([b.firstData, numbers(b)]);
}

/** The lines of the data among the first ones: two of their cells or more read as numbers or times. */
export const dataOf = ({ lines }: Candidate): JudgedLine[] =>
  lines.slice(0, LINES_JUDGED).filter(({ readable }) => readable >= 2);
