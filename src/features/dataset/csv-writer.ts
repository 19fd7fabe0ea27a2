import type { DigestedFile } from "./digested-file.js";
import type { Cell, DatasetField, Row } from "./table.js";

/** Writes rows as CSV (RFC 4180), word for word: nothing is an empty field, instants are RFC 3339 in UTC. */
export class CsvWriter {
  private hasBegun = false;

  constructor(
    private readonly file: DigestedFile,
    private readonly fields: readonly DatasetField[],
  ) {}

  async add(rows: readonly Row[]): Promise<void> {
    const names = this.fields.map(({ name }) => name);
    const lines = rows.map((row) => names.map((name) => fieldOf(row[name] ?? null)).join(","));
    if (!this.hasBegun) lines.unshift(names.join(","));
    this.hasBegun = true;
    await this.file.write(Buffer.from(lines.map((line) => `${line}\r\n`).join("")));
  }
}

function fieldOf(cell: Cell): string {
  if (cell === null) return "";
  const text = cell instanceof Date ? cell.toISOString() : String(cell);
  return /[",\r\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text;
}
