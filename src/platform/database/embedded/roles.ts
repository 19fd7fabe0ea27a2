import { escapeIdentifier, escapeLiteral } from "pg";
import { ADVISORY_LOCKS } from "../advisory-locks.js";
import { singleConnection } from "../connections/single-connection.js";

/** The role that a server is made with: a superuser, which prepares the other role at each start and does nothing else. */
export const OWNER_ROLE = "packledger";
/** The role that service and workers log in with: it owns the service's database, and may do nothing outside it. */
export const SERVICE_ROLE = "packledger_service";

/**
 * Everything in a database, but for what belongs to the system or to an extension, becomes the service's. Parts of
 * others (a sequence of a column, an index, the type of a row) follow those.
 */
const TAKE_OVER = `
  do $$
  declare
    service constant regrole := '${SERVICE_ROLE}'::regrole;
    change text;
  begin
    for change in
      with own_schema as (
        select oid, nspname from pg_namespace where nspname !~ '^pg_' and nspname not in ('information_schema', 'public')
      ), schema_of as (
        select oid from own_schema union all select oid from pg_namespace where nspname = 'public'
      ), extended as (
        select classid, objid from pg_depend where deptype = 'e'
      )
      select format('alter schema %I owner to %s', nspname, service) from own_schema join pg_namespace using (oid, nspname)
        where nspowner <> service and ('pg_namespace'::regclass, oid) not in (select classid, objid from extended)
      union all
      select format('alter %s %s owner to %s',
          case relkind when 'v' then 'view' when 'm' then 'materialized view' when 'S' then 'sequence' when 'f' then 'foreign table' else 'table' end,
          pg_class.oid::regclass, service)
        from pg_class
        where relnamespace in (select oid from schema_of) and relkind in ('r', 'p', 'v', 'm', 'f', 'S') and relowner <> service
          and ('pg_class'::regclass, pg_class.oid) not in (select classid, objid from extended)
          and not exists (select from pg_depend where classid = 'pg_class'::regclass and objid = pg_class.oid and deptype in ('a', 'i') and relkind = 'S')
      union all
      select format('alter routine %s owner to %s', pg_proc.oid::regprocedure, service)
        from pg_proc
        where pronamespace in (select oid from schema_of) and proowner <> service
          and ('pg_proc'::regclass, pg_proc.oid) not in (select classid, objid from extended)
      union all
      select format('alter %s %s owner to %s', case typtype when 'd' then 'domain' else 'type' end, pg_type.oid::regtype, service)
        from pg_type left join pg_class on pg_class.oid = typrelid
        where typnamespace in (select oid from schema_of) and typowner <> service and (typrelid = 0 or relkind = 'c')
          and typtype in ('c', 'd', 'e', 'r') and ('pg_type'::regclass, pg_type.oid) not in (select classid, objid from extended)
    loop
      execute change;
    end loop;
  end $$`;

/**
 * Gives a server the service's role and database, and brings over what an earlier version left to the superuser. Every
 * part of it can be done again: a program that is killed meanwhile leaves nothing that the next start does not mend.
 *
 * @param addressAsOwner address of a database of the server as the superuser
 */
export async function prepareServiceRole(
  addressAsOwner: (database: string) => string,
  { database, password }: { readonly database: string; readonly password: string },
): Promise<void> {
  await withConnection(addressAsOwner("postgres"), async (query) => {
    await query(`select pg_advisory_lock(${ADVISORY_LOCKS.makeRole})`);
    if ((await query("select from pg_roles where rolname = $1", [SERVICE_ROLE])) === 0) {
      await query(`create role ${SERVICE_ROLE}`);
    }
    const rights = "login nosuperuser nocreatedb nocreaterole noreplication nobypassrls";
    await query(`alter role ${SERVICE_ROLE} ${rights} password ${escapeLiteral(password)}`);
    const name = escapeIdentifier(database);
    if ((await query("select from pg_database where datname = $1", [database])) === 0) {
      await query(`create database ${name} owner ${SERVICE_ROLE}`);
    } else {
      await query(`alter database ${name} owner to ${SERVICE_ROLE}`);
    }
  });
  await withConnection(addressAsOwner(database), (query) => query(TAKE_OVER));
}

type Query = (statement: string, values?: readonly unknown[]) => Promise<number>;

async function withConnection(connectionString: string, work: (query: Query) => Promise<unknown>): Promise<void> {
  const client = singleConnection({ connectionString });
  await client.connect();
  try {
    await work(async (statement, values = []) => (await client.query(statement, [...values])).rowCount ?? 0);
  } finally {
    await client.end();
  }
}
