import { plainText } from "../text/plain-text.js";

export type TableCell = string | number | null;

/** A spreadsheet takes a field that begins so for a formula, also after spaces (OWASP, "CSV Injection"; from memory). */
const FORMULA = /^\s*[=+\-@\t\r|]/;

/** One field: a number as it is; a text in one line, after an apostrophe where a spreadsheet would compute it. */
function field(cell: TableCell): string {
  if (cell === null) return "";
  if (typeof cell === "number") return String(cell);
  const text = plainText(cell);
  const safe = FORMULA.test(text) ? `'${text}` : text;
  return /[",\r\n]/.test(safe) ? `"${safe.replaceAll('"', '""')}"` : safe;
}

/** Rows under a header as CSV (RFC 4180): commas, CRLF, quotation marks doubled. */
export function csvOf(header: readonly string[], rows: readonly (readonly TableCell[])[]): string {
  return [header, ...rows].map((row) => `${row.map(field).join(",")}\r\n`).join("");
}
