import { splitFields } from "../layout/fields.js";
import type { Layout } from "../layout/layout.js";
import { isSeparator } from "../layout/separators.js";
import { LogError } from "../log-error.js";
import { textOf } from "../text/line-bytes.js";
import type { Counted, NamedLine } from "./rows-read.js";

const STRAY_LINES_LIMIT = 100_000;
const STRAY_LINES_NAMED = 5;
const HEADER_BYTES_COMPARED = 200;

/** The lines below the header that are no rows. */
export class StrayLines {
  private readonly named: NamedLine[] = [];
  private count = 0;
  private firstLostLine: number | null = null;
  private lostCount = 0;
  private lostBeforeRow = 0;

  constructor(private readonly layout: Layout) {}

  /** @throws LogError `log-shape-unknown` when there are too many */
  note(bytes: Uint8Array, from: number, end: number, line: number): void {
    this.count++;
    if (this.count > STRAY_LINES_LIMIT) {
      throw new LogError(
        "log-shape-unknown",
        `More than ${STRAY_LINES_LIMIT} lines of the log are no rows of its table. Send the table of the samples alone.`,
        [{ line, message: "one line more that is no row" }],
      );
    }
    const isLost = !isSeparator(textOf(bytes, from, Math.min(end, from + HEADER_BYTES_COMPARED)));
    if (isLost && !this.repeatsHeader(textOf(bytes, from, Math.min(end, from + HEADER_BYTES_COMPARED)))) {
      this.lostCount++;
      this.firstLostLine ??= line;
    }
    if (this.named.length < STRAY_LINES_NAMED)
      this.named.push({ line, text: textOf(bytes, from, Math.min(end, from + 80)) });
  }

  /** A row follows what was noted: its lines stand between rows. */
  rowFollows(): void {
    this.lostBeforeRow = this.lostCount;
  }

  get found(): { readonly count: number; readonly first: readonly NamedLine[] } {
    return { count: this.count, first: this.named };
  }

  /** Those between rows that repeat no header. */
  get lostRows(): Counted {
    const isAny = this.lostBeforeRow > 0 && this.firstLostLine !== null;
    return { count: this.lostBeforeRow, first: isAny ? { line: this.firstLostLine as number } : null };
  }

  private repeatsHeader(text: string): boolean {
    const [first = ""] = splitFields(text, this.layout.delimiter);
    const { headers, unitsRow } = this.layout;
    return first.trim() === headers[0] || first.trim() === unitsRow?.[0]?.trim();
  }
}
