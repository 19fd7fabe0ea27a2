import { LogError } from "../log-error.js";
import type { JsonColumn } from "./json-column.js";
import { JsonRecords } from "./json-records.js";

type JsonObject = Readonly<Record<string, unknown>>;

/** How deep a table may stand inside a document. */
const MAX_DEPTH = 6;
const MIN_ROWS = 2;

interface FoundTable {
  readonly path: string;
  readonly columns: readonly JsonColumn[];
  readonly hasNames: boolean;
}

/**
 * The columns of a JSON document: `{name: [...]}`; `{"columns": [{name, unit, values}]}`; a list of records, nested or not; a list of lists
 * under a list of names; one of these anywhere inside the document.
 *
 * @throws LogError `log-shape-unknown` when it holds no table, or several
 */
export function readJsonColumns(document: unknown): {
  readonly columns: readonly JsonColumn[];
  readonly hasNames: boolean;
} {
  const tables = tablesIn(document, "", 0);
  const most = Math.max(0, ...tables.map(({ columns }) => columns[0]?.values.length ?? 0));
  const large = tables.filter(({ columns }) => (columns[0]?.values.length ?? 0) * 10 >= most);
  const [table] = large;
  if (!table) throw unreadable("The JSON holds no table.");
  if (large.length > 1) {
    throw unreadable(
      `The JSON holds several tables: ${large.map(({ path }) => `"${path.slice(0, 80)}"`).join(", ")}. Which one is the run is not known; send it alone.`,
    );
  }
  const lengths = new Set(table.columns.map(({ values }) => values.length));
  if (lengths.size === 1) return table;
  const listed = table.columns.map(({ name, values }) => `"${name.slice(0, 60)}" ${values.length}`).join(", ");
  throw unreadable(`The columns of the JSON have unequal numbers of values: ${listed}.`);
}

function tablesIn(value: unknown, path: string, depth: number): readonly FoundTable[] {
  if (depth > MAX_DEPTH) return [];
  const here = tableAt(value);
  if (here) return [{ ...here, path: path === "" ? "the document" : path }];
  const inside = isList(value) ? [...value.entries()] : isObject(value) ? Object.entries(value) : [];
  if (isList(value) && value.length > 100) return [];
  return inside.flatMap(([key, one]) => tablesIn(one, path === "" ? String(key) : `${path}.${key}`, depth + 1));
}

function tableAt(value: unknown): Omit<FoundTable, "path"> | null {
  if (isList(value)) return ofRecords(value) ?? ofLists(value, null);
  return isObject(value) ? (ofNamedLists(value) ?? ofDescribed(value) ?? ofColumns(value)) : null;
}

function ofRecords(list: readonly unknown[]): Omit<FoundTable, "path"> | null {
  const rows = list.filter(isObject);
  if (rows.length < MIN_ROWS || rows.length * 2 < list.length) return null;
  if (rows.some((row) => isList(row.values) && row.values.length >= MIN_ROWS)) return describedColumns(rows);
  const records = new JsonRecords();
  for (const row of rows) records.add(row);
  const columns = records.columns();
  return columns.length < 2 ? null : { columns, hasNames: true };
}

/** `[{"name": "time", "unit": "s", "values": [...]}, ...]` */
function describedColumns(list: readonly JsonObject[]): Omit<FoundTable, "path"> | null {
  const columns = list.flatMap((column) => {
    const values = column.values ?? column.data;
    if (!isList(values)) return [];
    const { unit } = column;
    return [{ name: nameOf(column), unit: typeof unit === "string" ? unit : null, values }];
  });
  return columns.length < 2 ? null : { columns, hasNames: true };
}

function ofDescribed(value: JsonObject): Omit<FoundTable, "path"> | null {
  const list = Object.values(value).find(
    (one) => isList(one) && one.some((column) => isObject(column) && isList(column.values ?? column.data)),
  );
  return isList(list) ? describedColumns(list.filter(isObject)) : null;
}

/** `{"columns": ["t [s]", ...], "rows": [[0, ...], ...]}` whatever the two are called. */
function ofNamedLists(value: JsonObject): Omit<FoundTable, "path"> | null {
  const lists = Object.values(value).filter(isList);
  const rows = lists.find((list) => list.length >= MIN_ROWS && list.every(isList));
  if (!rows) return null;
  const width = (rows[0] as readonly unknown[]).length;
  const names = lists.find((list) => list !== rows && list.length === width && list.every(isName));
  const units = lists.find(
    (list) => list !== rows && list !== names && list.length === width && list.every((one) => typeof one === "string"),
  );
  return ofLists(
    rows,
    names ? names.map((name, at) => ({ name: nameOf(name), unit: unitOf(name) ?? textOrNull(units?.[at]) })) : null,
  );
}

/** A list of lists: rows, of which the first may hold the names and the second the units. */
function ofLists(
  list: readonly unknown[],
  given: readonly { readonly name: string; readonly unit: string | null }[] | null,
): Omit<FoundTable, "path"> | null {
  const rows = list.filter(isList);
  if (rows.length < MIN_ROWS || rows.length < list.length) return null;
  const [first = [], second = []] = rows;
  const isText = (row: readonly unknown[]) =>
    row.length >= 2 && row.every((cell) => typeof cell === "string" && !/^[-+]?[\d.]/.test(cell));
  const hasHeader = !given && isText(first);
  const hasUnits = hasHeader && isText(second);
  const data = rows.slice(hasHeader ? (hasUnits ? 2 : 1) : 0);
  const width = Math.max(...data.slice(0, 100).map((row) => row.length));
  if (width < 2 || data.length < MIN_ROWS || data.some((row) => row.some((cell) => isList(cell) || isObject(cell))))
    return null;
  const columns = Array.from({ length: width }, (_, at) => ({
    name: given?.[at]?.name ?? (hasHeader ? String(first[at] ?? "") : ""),
    unit: given?.[at]?.unit ?? (hasUnits ? String(second[at] ?? "") : null),
    values: data.map((row) => row[at]),
  }));
  return { columns, hasNames: hasHeader || given !== null };
}

/** `{"time [s]": [...], ...}` */
function ofColumns(value: JsonObject): Omit<FoundTable, "path"> | null {
  const lists = Object.entries(value).filter((entry): entry is [string, unknown[]] => isList(entry[1]));
  const columns = lists
    .filter(([, list]) => list.length >= MIN_ROWS && list.every((one) => !isList(one) && !isObject(one)))
    .map(([name, values]) => ({ name, unit: null, values }));
  const units = Object.values(value).find(
    (one) => isObject(one) && columns.some(({ name }) => typeof one[name] === "string"),
  );
  return columns.length < 2
    ? null
    : {
        columns: columns.map((column) => ({
          ...column,
          unit: isObject(units) ? textOrNull(units[column.name]) : null,
        })),
        hasNames: true,
      };
}

function unreadable(seen: string): LogError {
  return new LogError(
    "log-shape-unknown",
    `${seen} Send columns, such as {"time [s]": [0, 0.1], "voltage [V]": [16.8, 16.7], "current [A]": [0, 95]}; or columns with units, such as {"columns": [{"name": "time", "unit": "s", "values": [0, 0.1]}, ...]}; or records, such as [{"time [s]": 0, "voltage [V]": 16.8, "current [A]": 0}, ...].`,
    [{ line: 1, message: "no single table" }],
  );
}

const nameOf = (value: unknown): string =>
  typeof value === "string"
    ? value
    : isObject(value)
      ? String(value.name ?? value.key ?? value.label ?? value.id ?? value.title ?? "")
      : "";
const unitOf = (value: unknown): string | null => (isObject(value) ? textOrNull(value.unit) : null);
const textOrNull = (value: unknown): string | null => (typeof value === "string" && value !== "" ? value : null);
const isName = (value: unknown): boolean => nameOf(value) !== "";

const isList = (value: unknown): value is readonly unknown[] => Array.isArray(value);

const isObject = (value: unknown): value is JsonObject => typeof value === "object" && value !== null && !isList(value);
