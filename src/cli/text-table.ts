/** Cells in columns of the widest cell's width; numbers are no matter of it. */
export function textTable(header: readonly string[], rows: readonly (readonly string[])[]): string {
  const all = [header, ...rows];
  const widths = header.map((_, column) => Math.max(...all.map((row) => row[column]?.length ?? 0)));
  return all
    .map((row) =>
      row
        .map((cell, column) => cell.padEnd(widths[column] ?? 0))
        .join("  ")
        .trimEnd(),
    )
    .join("\n");
}

/** The same as comma-separated values (RFC 4180). */
export function csvTable(header: readonly string[], rows: readonly (readonly string[])[]): string {
  const cell = (text: string) => (/[",\r\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text);
  return [header, ...rows].map((row) => row.map(cell).join(",")).join("\r\n");
}

/** The same as a table of Markdown, with pipes within cells escaped. */
export function markdownTable(header: readonly string[], rows: readonly (readonly string[])[]): string {
  const line = (row: readonly string[]) => `| ${row.map((cell) => cell.replaceAll("|", "\\|")).join(" | ")} |`;
  return [line(header), `|${"---|".repeat(header.length)}`, ...rows.map(line)].join("\n");
}
