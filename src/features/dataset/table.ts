import type { ChangeKind } from "../changes/changes.views.js";

export type FieldType = "string" | "integer" | "number" | "boolean" | "datetime";

/** A column, as Table Schema names it. */
export interface DatasetField {
  readonly name: string;
  readonly type: FieldType;
  readonly description: string;
}

/** A table of the dataset. It is kept in one part for each month in which its subjects were made. */
export interface DatasetTable {
  readonly kind: string;
  readonly title: string;
  /** Changes of which it is written anew. */
  readonly changedBy: ChangeKind;
  readonly fields: readonly DatasetField[];
  /** Null where a member of the key may be empty: that is no key in the sense of Table Schema. */
  readonly primaryKey: readonly string[] | null;
  /** What its rows are about, `subject` in its statement: a row is in the month in which that was made. */
  readonly subject: "pack" | "account" | "run";
  /** The rows of a month, in an order of their own; `<month>` stands for its condition. */
  readonly rows: string;
  /** The rows that one row of the statement stands for, where that is not itself. */
  readonly rowsOf?: (row: Readonly<Record<string, unknown>>) => Row[];
}

/** The value of one cell; null is nothing. */
export type Cell = string | number | boolean | Date | null;
export type Row = Readonly<Record<string, Cell>>;

/** The statement that reads the rows from `$1` to before `$2`. */
export function statementOf({ rows }: DatasetTable): string {
  return rows.replace("<month>", "subject.created_at >= $1::timestamptz AND subject.created_at < $2::timestamptz");
}

/** Columns from lines such as `load_a number: Standard load, A`. */
export function fieldsOf(lines: string): DatasetField[] {
  return lines
    .trim()
    .split("\n")
    .map((line) => {
      const [, name = "", type = "", description = ""] = /^\s*(\w+) (\w+): (.+)$/.exec(line) ?? [];
      return { name, type: type as FieldType, description };
    });
}
