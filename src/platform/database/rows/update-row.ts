import { Prisma } from "../../../generated/prisma/client.js";
import { columnOf } from "./insert-rows.js";

/**
 * Updates one row by its id, alone or within another statement. The members are one parameter, read by the table's own types, as those of
 * `insertRows` are; at least one.
 *
 * @param table a table of the schema, never a text from outside
 */
export function updateOf(table: string, id: string, members: object): Prisma.Sql {
  const named = Object.fromEntries(Object.entries(members).map(([key, value]) => [columnOf(key), value]));
  const columns = Object.keys(named).map((column) => `"${column}"`);
  const list = Prisma.raw(columns.join(", "));
  const target = Prisma.raw(`"${table}"`);
  return Prisma.sql`
    UPDATE ${target} SET (${list}) = (SELECT ${list} FROM json_populate_record(NULL::${target}, ${JSON.stringify(named)}::json))
    WHERE id = ${id}::uuid`;
}
