import { CsvWriter } from "./csv-writer.js";
import type { DatasetStore, StoredFile } from "./dataset-store.js";
import { DigestedFile } from "./digested-file.js";
import { ParquetWriter } from "./parquet-writer.js";
import type { Month, SnapshotReader } from "./snapshot-reader.js";
import type { DatasetTable, Row } from "./table.js";

export const FORMATS = ["csv", "parquet"] as const;
export type Format = (typeof FORMATS)[number];

/** The rows of one table of one month, as files that are named by their digests. */
export interface Part {
  readonly kind: string;
  readonly month: string;
  readonly rows: number;
  readonly files: Readonly<Record<Format, StoredFile>>;
}

/** Writes a part, some rows at a time; null when there are none. */
export async function writePart(
  store: DatasetStore,
  reader: SnapshotReader,
  table: DatasetTable,
  month: Month,
): Promise<Part | null> {
  const files = { csv: await DigestedFile.create(store), parquet: await DigestedFile.create(store) };
  let isWhole = false;
  try {
    const csv = new CsvWriter(files.csv, table.fields);
    const parquet = new ParquetWriter(files.parquet, table.fields);
    let rows = 0;
    for await (const some of reader.rows(table, month)) {
      rows += some.length;
      const plain = some.map(withoutEmptyText);
      await csv.add(plain);
      await parquet.add(plain);
    }
    if (rows === 0) return null;
    await parquet.end();
    isWhole = true;
    const stored = { csv: await files.csv.keep(), parquet: await files.parquet.keep() };
    return { kind: table.kind, month: month.name, rows, files: stored };
  } finally {
    if (!isWhole) for (const file of Object.values(files)) await file.discard();
  }
}

/** An empty text is nothing, since CSV cannot tell them apart. */
function withoutEmptyText(row: Row): Row {
  return Object.fromEntries(Object.entries(row).map(([name, cell]) => [name, cell === "" ? null : cell]));
}
