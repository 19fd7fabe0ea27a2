import { Prisma } from "../../../generated/prisma/client.js";
import type { Transaction } from "../database.js";

/** Columns are named as members are, in snake case. */
export const columnOf = (member: string): string => member.replace(/[A-Z]/g, (letter) => `_${letter.toLowerCase()}`);

/** A row as a parameter that is read by the table's own types (`json_populate_record`). */
export const rowText = (row: object): string => JSON.stringify(byColumn([row])[0]);

/** Rows that all have the same members. */
function byColumn(rows: readonly object[]): Record<string, unknown>[] {
  const members = Object.keys(rows[0] ?? {});
  const columns = members.map(columnOf);
  return rows.map((row) => {
    const named: Record<string, unknown> = {};
    for (const [i, column] of columns.entries()) named[column] = (row as Record<string, unknown>)[members[i] as string];
    return named;
  });
}

/** Bytes as a member of a row. */
export const bytesText = (bytes: Uint8Array): string => `\\x${Buffer.from(bytes).toString("hex")}`;

/**
 * Inserts any number of rows by one statement that is the same for all of them: they are one parameter, read by the table's own
 * types. (The client compiles a `createMany` anew for every number of rows, and keeps each.) Numbers keep every digit.
 *
 * @param table a table of the schema, never a text from outside
 * @param rows all with the same members; a column that none names has its default
 */
export function insertRows(
  tx: Pick<Transaction, "$executeRaw">,
  table: string,
  rows: readonly object[],
): Promise<void> {
  return insertRowsOf(tx, { [table]: rows });
}

/** The same for several tables by one statement for all of them, at whose end the rows to which others refer have to be there. */
export async function insertRowsOf(
  tx: Pick<Transaction, "$executeRaw">,
  tables: Readonly<Record<string, readonly object[]>>,
): Promise<void> {
  const inserts = Object.entries(tables).flatMap(([table, rows]) => (rows.length > 0 ? [insertOf(table, rows)] : []));
  const last = inserts.pop();
  if (!last) return;
  const before = inserts.map((insert, i) => Prisma.sql`${Prisma.raw(`part${i}`)} AS (${insert})`);
  await tx.$executeRaw(before.length > 0 ? Prisma.sql`WITH ${Prisma.join(before)} ${last}` : last);
}

function insertOf(table: string, rows: readonly object[]): Prisma.Sql {
  const named = byColumn(rows);
  const columns = Object.keys(named[0] as object);
  const list = Prisma.raw(columns.map((column) => `"${column}"`).join(", "));
  const target = Prisma.raw(`"${table}"`);
  return Prisma.sql`
    INSERT INTO ${target} (${list})
    SELECT ${list} FROM json_populate_recordset(NULL::${target}, ${JSON.stringify(named)}::json)`;
}
