import { Prisma } from "../../generated/prisma/client.js";
import type { Transaction } from "./database.js";

/** Columns are named as members are, in snake case. */
const columnOf = (member: string): string => member.replace(/[A-Z]/g, (letter) => `_${letter.toLowerCase()}`);

/**
 * Inserts any number of rows by one statement that is the same for all of them: they are one parameter, read by the table's own
 * types. (The client compiles a `createMany` anew for every number of rows, and keeps each.) Numbers keep every digit.
 *
 * @param table a table of the schema, never a text from outside
 * @param rows all with the same members; a column that none names has its default
 */
export async function insertRows(
  tx: Pick<Transaction, "$executeRaw">,
  table: string,
  rows: readonly object[],
): Promise<void> {
  const [first] = rows;
  if (!first) return;
  const columns = Object.keys(first).map(columnOf);
  const named = rows.map((row) =>
    Object.fromEntries(Object.entries(row).map(([key, value]) => [columnOf(key), value])),
  );
  const list = Prisma.raw(columns.map((column) => `"${column}"`).join(", "));
  const target = Prisma.raw(`"${table}"`);
  await tx.$executeRaw`
    INSERT INTO ${target} (${list})
    SELECT ${list} FROM json_populate_recordset(NULL::${target}, ${JSON.stringify(named)}::json)`;
}
