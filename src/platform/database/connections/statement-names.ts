import type { PrismaPg } from "@prisma/adapter-pg";

/** Statements that a connection keeps prepared at most: each holds its plan in the server's memory, for every connection. */
export const MAX_NAMED = 200;
/** Statements whose uses are counted at most, so that what readers ask for cannot fill the memory. */
const MAX_COUNTED = 1_000;
/** From this use on a statement is worth preparing: many are sent once, or have a list of another length each time. */
const USES_BEFORE = 3;

type Names = NonNullable<NonNullable<ConstructorParameters<typeof PrismaPg>[1]>["statementNameGenerator"]>;

/**
 * Names for the statements that come again and again: a connection then parses each once and not at every use. Others have
 * the empty name, by which PostgreSQL keeps nothing.
 */
export function statementNames(): Names {
  const named = new Map<string, string>();
  const uses = new Map<string, number>();
  return ({ sql }) => {
    const name = named.get(sql);
    if (name !== undefined) return name;
    if (named.size >= MAX_NAMED) return "";
    const count = (uses.get(sql) ?? 0) + 1;
    if (count < USES_BEFORE) {
      if (uses.size >= MAX_COUNTED) uses.clear();
      uses.set(sql, count);
      return "";
    }
    uses.delete(sql);
    const given = `statement_${named.size + 1}`;
    named.set(sql, given);
    return given;
  };
}
