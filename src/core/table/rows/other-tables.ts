import { splitFields } from "../layout/fields.js";
import { sortOf } from "../layout/judge.js";
import type { Layout } from "../layout/layout.js";

const MIN_NAMES = 2;

/**
 * Tables that follow the one of the samples, as a summary by steps or by cells does: each begins with column names of its own, and its first
 * number goes back from the time of the sample before. A remark between samples is none, for time goes on after it.
 */
export class OtherTables {
  private state: "samples" | "names seen" | "other table" = "samples";

  /** @param countsTime the samples' time is a number */
  constructor(
    private readonly layout: Layout,
    private readonly countsTime: boolean,
  ) {}

  /** Whether the next row may be one of another table. */
  get mayHaveBegun(): boolean {
    return this.state !== "samples";
  }

  /** Takes note of a line that is no sample. */
  noteLine(text: string, hasNumbers: boolean): void {
    if (!this.countsTime || hasNumbers) return;
    const cells = splitFields(text, this.layout.delimiter).map((cell) => cell.trim());
    if (this.isHeaderAgain(cells)) this.state = "samples";
    else if (this.state === "samples" && this.areNames(cells)) this.state = "names seen";
  }

  /**
   * Whether a row belongs to another table.
   *
   * @param time its first number
   * @param before that of the sample before; null where there is none
   */
  holdsRow(time: number, before: number | null): boolean {
    if (this.state === "names seen") this.state = before !== null && time < before ? "other table" : "samples";
    return this.state === "other table";
  }

  private isHeaderAgain([first = ""]: readonly string[]): boolean {
    const { headers, unitsRow } = this.layout;
    return first === headers[0] || first === unitsRow?.[0]?.trim();
  }

  private areNames(cells: readonly string[]): boolean {
    const named = cells.filter((cell) => cell !== "");
    return named.length >= MIN_NAMES && named.every((cell) => sortOf(cell, this.layout.decimalMark) === "text");
  }
}
