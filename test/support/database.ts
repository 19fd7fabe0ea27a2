import { randomUUID } from "node:crypto";
import { Client } from "pg";

/** A database of a test file's own. */
export interface TestDatabase {
  readonly connectionString: string;
  drop(): Promise<void>;
}

function given(name: "TEST_TEMPLATE_DATABASE" | "TEST_OWNER_DATABASE"): URL {
  const address = process.env[name];
  if (!address) throw new Error("Run the tests with jest's global setup: it starts the database");
  return new URL(address);
}

const template = () => given("TEST_TEMPLATE_DATABASE");

/** The service's own role makes no databases. */
async function administer(statement: string): Promise<void> {
  const client = new Client({ connectionString: given("TEST_OWNER_DATABASE").href });
  await client.connect();
  try {
    await client.query(statement);
  } finally {
    await client.end();
  }
}

async function create(source: string, more = ""): Promise<TestDatabase> {
  const name = `test_${randomUUID().replaceAll("-", "")}`;
  const address = template();
  // As files: read and written block by block, with their log, they take four times the processor time.
  await administer(`CREATE DATABASE ${name} TEMPLATE ${source} OWNER ${address.username} STRATEGY FILE_COPY ${more}`);
  address.pathname = `/${name}`;
  return { connectionString: address.href, drop: () => administer(`DROP DATABASE ${name} WITH (FORCE)`) };
}

/** A database with every table of the service and no row. */
export function cloneDatabase(): Promise<TestDatabase> {
  return create(template().pathname.slice(1));
}

/**
 * A database without any table.
 *
 * @param more options of CREATE DATABASE, such as another encoding
 */
export function createEmptyDatabase(more = ""): Promise<TestDatabase> {
  return create("template0", more);
}

/** Address of a test database for the server's superuser. */
export const ownerOf = (connectionString: string): string =>
  Object.assign(given("TEST_OWNER_DATABASE"), { pathname: new URL(connectionString).pathname }).href;

/** Ends every connection to a database, as its restart would. */
export async function cutConnections(connectionString: string): Promise<void> {
  const client = new Client({ connectionString });
  await client.connect();
  await client.query(
    "SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE datname = current_database() AND pid <> pg_backend_pid()",
  );
  await client.end();
}
