import { randomUUID } from "node:crypto";
import { Client } from "pg";

/** A migrated database of a test file's own, cloned from the template. */
export interface TestDatabase {
  readonly connectionString: string;
  drop(): Promise<void>;
}

function template(): URL {
  const address = process.env.TEST_TEMPLATE_DATABASE;
  if (!address) throw new Error("Run the tests with jest's global setup: it starts the database");
  return new URL(address);
}

async function administer(statement: string): Promise<void> {
  const address = template();
  address.pathname = "/postgres";
  const client = new Client({ connectionString: address.href });
  await client.connect();
  try {
    await client.query(statement);
  } finally {
    await client.end();
  }
}

export async function cloneDatabase(): Promise<TestDatabase> {
  const name = `test_${randomUUID().replaceAll("-", "")}`;
  const address = template();
  await administer(`CREATE DATABASE ${name} TEMPLATE ${address.pathname.slice(1)}`);
  address.pathname = `/${name}`;
  return { connectionString: address.href, drop: () => administer(`DROP DATABASE ${name} WITH (FORCE)`) };
}
