import { Client } from "pg";

/** Every relation, column, constraint, trigger and function, and the history of migrations: what a start leaves. */
export async function schemaContents(connectionString: string): Promise<string[]> {
  const client = new Client({ connectionString });
  await client.connect();
  try {
    const { rows } = await client.query<{ line: string }>(`
      with own as (select oid, nspname from pg_namespace where nspname in ('public', 'graphile_worker'))
      select format('%s %s %s', nspname, relkind, relname) as line from pg_class join own on own.oid = relnamespace
      union all
      select format('%s.%s %s', relname, attname, format_type(atttypid, atttypmod)) from pg_attribute
        join pg_class on pg_class.oid = attrelid join own on own.oid = relnamespace where attnum > 0
      union all
      select format('%s %s', conname, pg_get_constraintdef(pg_constraint.oid)) from pg_constraint join own on own.oid = connamespace
      union all
      select pg_get_triggerdef(pg_trigger.oid) from pg_trigger where not tgisinternal
      union all
      select format('%s %s', proname, md5(prosrc)) from pg_proc join own on own.oid = pronamespace
      union all
      select format('%s %s %s %s', migration_name, checksum, finished_at is not null, rolled_back_at) from _prisma_migrations
      union all
      select format('queue %s', id) from graphile_worker.migrations
      order by line`);
    return rows.map(({ line }) => line);
  } finally {
    await client.end();
  }
}
