import { ByteWriter, ParquetWriter as Encoder } from "hyparquet-writer";
import type { DigestedFile } from "./digested-file.js";
import type { Cell, DatasetField, FieldType, Row } from "./table.js";

type SchemaElement = ConstructorParameters<typeof Encoder>[0]["schema"][number];

/** Rows of a row group: what is held in memory at a time. */
const GROUP_ROWS = 10_000;

const TYPES: Readonly<Record<FieldType, Omit<SchemaElement, "name">>> = {
  string: { type: "BYTE_ARRAY", converted_type: "UTF8" },
  integer: { type: "INT32" },
  number: { type: "DOUBLE" },
  boolean: { type: "BOOLEAN" },
  datetime: { type: "INT64", converted_type: "TIMESTAMP_MILLIS" },
};

/** Writes rows as Apache Parquet, one row group after the other. */
export class ParquetWriter {
  private readonly bytes = new ByteWriter();
  private readonly encoder: Encoder;
  private group: Row[] = [];

  constructor(
    private readonly file: DigestedFile,
    private readonly fields: readonly DatasetField[],
  ) {
    const columns = fields.map(({ name, type }) => ({ name, ...TYPES[type], repetition_type: "OPTIONAL" as const }));
    const schema: SchemaElement[] = [{ name: "root", num_children: columns.length }, ...columns];
    this.encoder = new Encoder({ writer: this.bytes, schema, createdBy: "packledger" });
  }

  async add(rows: readonly Row[]): Promise<void> {
    this.group.push(...rows);
    if (this.group.length >= GROUP_ROWS) await this.endGroup();
  }

  async end(): Promise<void> {
    await this.endGroup();
    await this.encoder.finish();
    await this.flush();
  }

  private async endGroup(): Promise<void> {
    const rows = this.group;
    this.group = [];
    if (rows.length === 0) return;
    const columnData = this.fields.map(({ name }) => ({ name, data: rows.map((row): Cell => row[name] ?? null) }));
    await this.encoder.write({ columnData, rowGroupSize: rows.length });
    await this.flush();
  }

  /** What is encoded goes to the file; positions are counted on. */
  private async flush(): Promise<void> {
    const encoded = Uint8Array.from(this.bytes.getBytes());
    this.bytes.index = 0;
    await this.file.write(encoded);
  }
}
