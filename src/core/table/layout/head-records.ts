import type { LineEnds } from "../text/line-ends.js";
import { recordAt } from "../text/records.js";
import { textOfBytes } from "../text/text.js";

/** Lines in which the table must begin. */
const LINES_LOOKED_AT = 1000;

/** One record of the first bytes: where it begins, and its text without NUL bytes. */
export interface HeadRecord {
  readonly from: number;
  readonly line: number;
  readonly text: string;
  readonly lineEnd: keyof LineEnds | null;
  readonly hasNul: boolean;
}

/** The first records; a line break inside a quoted field reads as a blank. */
export function recordsOf(head: Uint8Array): HeadRecord[] {
  const decode = textOfBytes(head);
  const records: HeadRecord[] = [];
  let line = 1;
  for (let from = 0; from < head.length && records.length < LINES_LOOKED_AT; ) {
    const record = recordAt(head, from, true);
    if (!record) break;
    const { end, next, breaks } = record;
    const raw = decode(from, end);
    const text = raw.replaceAll("\0", "").replace(/[\r\n]+/g, " ");
    const lineEnd = next === end ? null : next === end + 2 ? "crlf" : head[end] === 0x0d ? "cr" : "lf";
    records.push({ from, line, text, lineEnd, hasNul: raw.includes("\0") });
    line += 1 + breaks;
    from = next;
  }
  return records;
}
