import type { Adjustment } from "../model.js";
import { LogError } from "../table/log-error.js";
import type { Rows } from "../table/rows/rows-read.js";

/** One line in so many may hold NUL bytes, which a logger leaves when its supply falters; one line always may. */
const LINES_FOR_ONE_WITH_NUL = 1000;

/**
 * What reading had to mend, with how often and where first.
 *
 * @throws LogError `log-damaged` when more than 0.1 % of the lines hold NUL bytes
 */
export function readingAdjustments(rows: Rows): Adjustment[] {
  const { nulLines, cutLine, lineEnds, unreadableCells, strayLines } = rows;
  const made: Adjustment[] = [];
  const kinds = [
    { count: lineEnds.lf, name: "LF" },
    { count: lineEnds.crlf, name: "CRLF" },
    { count: lineEnds.cr, name: "CR" },
  ].filter(({ count }) => count > 0);
  if (kinds.length > 1) {
    const most = Math.max(...kinds.map(({ count }) => count));
    const all = kinds.reduce((sum, { count }) => sum + count, 0);
    const listed = kinds.map(({ count, name }) => `${count} in ${name}`).join(", ");
    made.push(
      counted(
        "line-ends-mixed",
        `Lines end in several ways: ${listed}. Each was taken for the end of its line.`,
        all - most,
      ),
    );
  }
  if (nulLines.count > 0) {
    const line = nulLines.first?.line;
    refuseManyNul(nulLines.count, rows.lines.length, line);
    made.push(
      counted(
        "nul-bytes",
        `${nulLines.count} lines hold NUL bytes, the first ${at(line)}. The cells that hold them were taken as missing.`,
        nulLines.count,
      ),
    );
  }
  if (unreadableCells.count > 0) {
    const { count, first, text } = unreadableCells;
    made.push(
      counted(
        "cells-taken-as-missing",
        `${count} cells hold text in place of a number, the first ${at(first?.line, first?.column)}: "${text}". They were taken as missing.`,
        count,
        "cells",
      ),
    );
  }
  if (strayLines.count > 0) {
    const [first] = strayLines.first;
    made.push(
      counted(
        "lines-passed-over",
        `${strayLines.count} lines below the header are no samples, the first ${at(first?.line)}: "${first?.text}".`,
        strayLines.count,
      ),
    );
  }
  if (cutLine) {
    made.push(
      counted(
        "tail-left-out",
        `The last line, ${cutLine.line}, breaks off in the middle and was left out: "${cutLine.text}".`,
        1,
      ),
    );
  }
  return made;
}

function refuseManyNul(count: number, rows: number, line: number | undefined): void {
  if (count <= Math.max(1, rows / LINES_FOR_ONE_WITH_NUL)) return;
  throw new LogError(
    "log-damaged",
    `${count} lines of the log hold NUL bytes, with ${rows} rows read: more than one line in ${LINES_FOR_ONE_WITH_NUL}. Its storage was damaged while it was written; copy it from the logger again.`,
    [{ ...(line === undefined ? {} : { line }), message: "first line with NUL bytes" }],
  );
}

const at = (line: number | undefined, column?: number): string =>
  line === undefined
    ? "without a line of its own"
    : `in line ${line}${column === undefined ? "" : `, column ${column}`}`;

const counted = (kind: string, message: string, before: number, unit = "lines"): Adjustment => ({
  kind,
  message,
  before,
  after: 0,
  unit,
});
