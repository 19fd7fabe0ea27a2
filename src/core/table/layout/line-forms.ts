import { isTime } from "../cells/time-text.js";
import type { GivenNames } from "./layout.js";

/** A way in which the lines of a text are written that is no delimited table yet, and how each becomes a row of one. */
export interface LineForm {
  /** The line as a row between delimiters; a line that is no such row as it stands. */
  readonly toRow: (line: string) => string;
  readonly names: GivenNames | null;
}

const LINES_LOOKED_AT = 120;
const MIN_LINES = 4;
const MIN_SHARE = 0.6;

/** The form of the lines, or null for those of a plain table. */
export function findLineForm(lines: readonly string[]): LineForm | null {
  const shown = lines.filter((line) => line.trim() !== "").slice(0, LINES_LOOKED_AT);
  return shown.length < MIN_LINES
    ? null
    : (rewrittenForm(shown) ?? labelledForm(shown) ?? blockForm(shown) ?? prefixedForm(shown));
}

/** Lines that are a table once their marks are the usual ones. */
const REWRITTEN: readonly { readonly fits: RegExp; readonly toRow: (line: string) => string }[] = [
  // A whole line in quotes, as of a table that was packed into one column.
  {
    fits: /^"[^"]*[,;\t|][^"]*"$/,
    toRow: (line) =>
      line
        .trim()
        .replace(/^"(.*)"$/, "$1")
        .replaceAll('""', '"'),
  },
  // Decimal commas, and a comma with a space behind it between cells.
  { fits: /^\s*[-+]?\d+(?:,\d+)?(?:, +[-+]?\d+(?:,\d+)?)+\s*$/, toRow: (line) => line.replace(/, +/g, ";") },
  // Commas and semicolons of East Asian typography.
  { fits: /\d[\uff0c\uff1b]/, toRow: (line) => line.replaceAll("\uff0c", ",").replaceAll("\uff1b", ";") },
];

function rewrittenForm(lines: readonly string[]): LineForm | null {
  const found = REWRITTEN.find(
    ({ fits }) => lines.filter((line) => fits.test(line)).length >= MIN_SHARE * lines.length,
  );
  const isMixed = found?.fits === REWRITTEN[1]?.fits && !lines.some((line) => /\d,\d/.test(line));
  return found && !isMixed ? { toRow: found.toRow, names: null } : null;
}

const TIME_TEXT = String.raw`(?:\d{4}[-/]\d{2}[-/]\d{2}[T ])?\d{1,2}:\d{2}(?::\d{2})?(?:[.,]\d+)?(?:\s?[AaPp][Mm])?(?:Z|[+-]\d{2}:\d{2})?`;
const NUMBER_TEXT = String.raw`[-+\u2212]?\d+(?:[.,'\u2019]\d+)*(?:[eE][-+]?\d+)?|[-+\u2212]?\.\d+|nan|NaN|OL|---?`;
const LABEL = String.raw`[\p{L}#][\p{L}\p{M}\p{N}_ .°#/%*-]*?(?:\s*[[(][^\])=:]*[\])])?`;
const PAIR = new RegExp(
  String.raw`(?<=^|[\s,;|&{[(>"'])(${LABEL})\s*[=:]\s*"?(${TIME_TEXT}|${NUMBER_TEXT})\s*((?:[\p{L}°℃µμ%]+(?:[·*/][\p{L}]+)?)?(?=$|[\s,;|&"\])}]))`,
  "gu",
);

interface Pair {
  readonly label: string;
  readonly cell: string;
}

/** What a line says as label and value, with the time of day that may stand before the first label. */
function pairsOf(line: string): readonly Pair[] {
  const matches = [...line.matchAll(PAIR)];
  const [first] = matches;
  if (!first) return [];
  const lead = line
    .slice(0, first.index)
    .trim()
    .replace(/^[[(<]\s*|\s*[\])>]?\s*(?:->|=>|→|-|:|\|)?\s*$/g, "");
  const pairs = matches.map(([, label = "", value = "", unit = ""]) => ({
    label: label.trim(),
    cell: unit === "" ? value : `${value} ${unit}`,
  }));
  return isTime(lead) ? [{ label: "Time", cell: lead }, ...pairs] : pairs;
}

/** `t=0.2 U=16.7V I=0.0A`, or the same with colons: one row of labels and values in each line. */
function labelledForm(lines: readonly string[]): LineForm | null {
  const all = lines.map(pairsOf);
  const rows = all.filter((pairs) => pairs.length >= 2);
  if (rows.length < MIN_SHARE * lines.length) return null;
  const labels = labelsOf(rows);
  return labels && { toRow: (line) => rowOf(pairsOf(line), labels, line), names: { headers: labels } };
}

/** The labels in the order in which they come; null when a line has one twice, so that they name no columns. */
function labelsOf(rows: readonly (readonly Pair[])[]): readonly string[] | null {
  const labels = [...new Set(rows.flat().map(({ label }) => label))];
  const isTwice = rows.some((pairs) => new Set(pairs.map(({ label }) => label)).size < pairs.length);
  return isTwice || labels.length > 64 ? null : labels;
}

function rowOf(pairs: readonly Pair[], labels: readonly string[], line: string): string {
  if (pairs.length < 2) return line;
  const cells = labels.map((label) => pairs.find((pair) => pair.label === label)?.cell ?? "");
  return cells.join("\t");
}

/** One label and value in each line, and as many lines to a sample as there are labels. */
function blockForm(lines: readonly string[]): LineForm | null {
  const all = lines.map(pairsOf);
  const single = all.filter((pairs) => pairs.length === 1).flat();
  if (single.length < MIN_SHARE * lines.length) return null;
  const labels = [...new Set(single.map(({ label }) => label))];
  const isRepeated = single.length >= 2 * labels.length && labels.length >= 2;
  if (!isRepeated) return null;
  const [first] = labels;
  const last = labels.at(-1);
  let cells = new Map<string, string>();
  return {
    names: { headers: labels },
    toRow: (line) => {
      const [pair, ...others] = pairsOf(line);
      if (!pair || others.length > 0 || !labels.includes(pair.label)) return line;
      if (pair.label === first) cells = new Map();
      cells.set(pair.label, pair.cell);
      return pair.label === last ? labels.map((label) => cells.get(label) ?? "").join("\t") : "";
    },
  };
}

const ARROW = `(?:-+>|=+>|→|»|>+)`;
const STAMPED = new RegExp(
  String.raw`^\s*(?:[[(]\s*(${TIME_TEXT})\s*[\])]\s*(?:${ARROW}|[:|-])?|(${TIME_TEXT})\s*${ARROW})\s*(\S.*)$`,
  "u",
);
const NAMED = new RegExp(String.raw`^\s*[[(]?\s*(\p{L}[\p{L} ]*?)\s*[\])]?\s*${ARROW}\s*(\S.*)$`, "u");
const DELIMITERS = ["\t", ";", "|", ","] as const;

/** `09:12:00.200 -> 16.7,0.0`: a time before an arrow or in brackets, and a row of a table behind it. */
function prefixedForm(lines: readonly string[]): LineForm | null {
  const rests = lines.flatMap((line) => STAMPED.exec(line)?.[3] ?? []);
  if (rests.length < MIN_SHARE * lines.length) return null;
  const delimiter =
    DELIMITERS.find((one) => rests.filter((rest) => rest.includes(one)).length > rests.length / 2) ?? "  ";
  const count = (text: string) => text.trim().split(delimiter === "  " ? /\s+/ : delimiter).length;
  const usual = count(rests[rests.length >> 1] ?? "");
  return {
    names: null,
    toRow: (line) => {
      const [, inBrackets, before, rest] = STAMPED.exec(line) ?? [];
      const time = inBrackets ?? before;
      if (time !== undefined && rest !== undefined) {
        // The stamp of a header says when it was written, and names the column of stamps.
        return `${/^\s*[-+\u2212]?[\d.]/.test(rest) ? time.replace(" ", "T") : "Time"}${delimiter}${rest}`;
      }
      const [, name, named] = NAMED.exec(line) ?? [];
      if (name !== undefined && named !== undefined) return `${name}${delimiter}${named}`;
      return /\p{L}/u.test(line) && count(line) === usual ? `Time${delimiter}${line.trim()}` : line;
    },
  };
}
