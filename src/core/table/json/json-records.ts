import type { JsonColumn } from "./json-column.js";

type JsonObject = Readonly<Record<string, unknown>>;

const MAX_DEPTH = 4;

/** Records as columns: a record inside a record gives columns named by both, `{"pack": {"voltage": 16.8}}` one named "pack voltage". */
export class JsonRecords {
  private readonly named = new Map<string, { unit: string | null; values: unknown[] }>();
  private rows = 0;

  add(record: JsonObject): void {
    this.addInside(record, "", 0);
    this.rows++;
  }

  columns(): readonly JsonColumn[] {
    return [...this.named].map(([name, { unit, values }]) => ({ name, unit, values: padded(values, this.rows) }));
  }

  private addInside(record: JsonObject, path: string, depth: number): void {
    for (const [key, value] of Object.entries(record)) {
      const name = path === "" ? key : `${path} ${key}`;
      if (Array.isArray(value)) for (const [at, one] of value.entries()) this.put(`${name} ${at + 1}`, one, null);
      else if (typeof value !== "object" || value === null) this.put(name, value, null);
      else if (isMeasured(value)) this.put(name, value.value, value.unit);
      else if (depth < MAX_DEPTH) this.addInside(value as JsonObject, name, depth + 1);
    }
  }

  private put(name: string, value: unknown, unit: string | null): void {
    const column = this.named.get(name) ?? { unit, values: [] };
    if (column.values.length === 0) this.named.set(name, column);
    while (column.values.length < this.rows) column.values.push(undefined);
    column.values.push(value);
  }
}

/** `{"value": 16.8, "unit": "V"}` */
const isMeasured = (value: object): value is { value: unknown; unit: string } =>
  "value" in value && "unit" in value && typeof value.unit === "string" && Object.keys(value).length === 2;

function padded(values: unknown[], rows: number): readonly unknown[] {
  while (values.length < rows) values.push(undefined);
  return values;
}
