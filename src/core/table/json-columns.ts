import { LogError } from "./log-error.js";

/** One column of a table in JSON. */
export interface JsonColumn {
  readonly name: string;
  readonly unit: string | null;
  readonly values: readonly unknown[];
}

type JsonObject = Readonly<Record<string, unknown>>;

/** The columns of a JSON document: `{name: [...]}`, `{"columns": [{name, unit, values}]}`, or a list of records. */
export function readJsonColumns(document: unknown): readonly JsonColumn[] {
  const columns = isList(document) ? ofRecords(document) : isObject(document) ? ofObject(document) : [];
  if (columns.length >= 2) {
    const lengths = new Set(columns.map(({ values }) => values.length));
    if (lengths.size === 1) return columns;
    const listed = columns.map(({ name, values }) => `"${name.slice(0, 60)}" ${values.length}`).join(", ");
    throw unreadable(`The columns of the JSON have unequal numbers of values: ${listed}.`);
  }
  throw unreadable("The JSON holds no table.");
}

function ofObject(document: JsonObject): readonly JsonColumn[] {
  const lists = Object.entries(document).filter((entry): entry is [string, unknown[]] => isList(entry[1]));
  const described = document.columns;
  if (isList(described) && described.some((column) => isObject(column) && isList(column.values))) {
    return described.flatMap((column) => {
      if (!isObject(column) || !isList(column.values)) return [];
      const { name, unit, values } = column;
      return [{ name: String(name ?? ""), unit: typeof unit === "string" ? unit : null, values }];
    });
  }
  const ofRecordsOnly = lists.filter(([, list]) => list.length > 0 && list.every(isObject));
  if (ofRecordsOnly.length === 1) return ofRecords(ofRecordsOnly[0]?.[1] ?? []);
  return lists
    .filter(([, list]) => list.length > 0 && list.every((value) => !isList(value) && !isObject(value)))
    .map(([name, values]) => ({ name, unit: null, values }));
}

function ofRecords(records: readonly unknown[]): readonly JsonColumn[] {
  const rows = records.filter(isObject);
  const names = new Set(rows.flatMap((row) => Object.keys(row)));
  return [...names].map((name) => ({ name, unit: null, values: rows.map((row) => row[name]) }));
}

function unreadable(seen: string): LogError {
  return new LogError(
    "log-shape-unknown",
    `${seen} Send columns, such as {"time [s]": [0, 0.1], "voltage [V]": [16.8, 16.7], "current [A]": [0, 95]}; or columns with units, such as {"columns": [{"name": "time", "unit": "s", "values": [0, 0.1]}, ...]}; or records, such as [{"time [s]": 0, "voltage [V]": 16.8, "current [A]": 0}, ...].`,
    [{ line: 1, message: "no columns of readings" }],
  );
}

const isList = (value: unknown): value is readonly unknown[] => Array.isArray(value);

const isObject = (value: unknown): value is JsonObject => typeof value === "object" && value !== null && !isList(value);
