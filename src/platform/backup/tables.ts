import type { Client } from "pg";

/** A table of the record, and what a copy of it has to know. */
export interface Table {
  readonly name: string;
  /** Those that hold data: PostgreSQL computes the generated ones itself. */
  readonly columns: readonly string[];
}

/** The sequence behind a column that the database numbers. */
export interface Sequence {
  readonly table: string;
  readonly column: string;
}

export interface ForeignKey {
  readonly table: string;
  readonly name: string;
  /** The constraint as PostgreSQL writes it. */
  readonly definition: string;
}

/** Every table of the record but the history of its migrations, by name. */
export async function readTables(client: Client): Promise<readonly Table[]> {
  const { rows } = await client.query<Table>(`
    select relname as name, array_agg(attname::text order by attnum) filter (where attgenerated = '') as columns
    from pg_class join pg_attribute on attrelid = pg_class.oid and attnum > 0 and not attisdropped
    where relnamespace = 'public'::regnamespace and relkind = 'r' and relname <> '_prisma_migrations'
    group by 1 order by 1`);
  return rows;
}

export async function readSequences(client: Client): Promise<readonly Sequence[]> {
  const { rows } = await client.query<Sequence>(`
    select relname as "table", attname as "column"
    from pg_class join pg_attribute on attrelid = pg_class.oid and attnum > 0 and not attisdropped
    where relnamespace = 'public'::regnamespace and relkind = 'r'
      and pg_get_serial_sequence(format('public.%I', relname), attname) is not null
    order by 1, 2`);
  return rows;
}

export async function readForeignKeys(client: Client): Promise<readonly ForeignKey[]> {
  const { rows } = await client.query<ForeignKey>(`
    select conrelid::regclass::text as "table", conname as name, pg_get_constraintdef(oid) as definition
    from pg_constraint where contype = 'f' and connamespace = 'public'::regnamespace order by 1, 2`);
  return rows;
}

/** Identifiers for a statement, between commas. */
export function identifiers(client: Client, names: readonly string[]): string {
  return names.map((name) => client.escapeIdentifier(name)).join(", ");
}
