import { afterAll, beforeAll, expect, it } from "@jest/globals";
import { Client } from "pg";
import { createEmptyDatabase, type TestDatabase } from "../test/support/database.js";
import { migrate } from "./migrate.js";
import { readMigrations } from "./migration-files.js";

let database: TestDatabase;
let client: Client;
beforeAll(async () => {
  database = await createEmptyDatabase();
  client = new Client({ connectionString: database.connectionString });
  await client.connect();
});
afterAll(async () => {
  await client.end();
  await database.drop();
});

it("hashes that were packed into one number stay what they are in columns of their own", async () => {
  const all = await readMigrations();
  const wide = all.findIndex(({ name }) => name.endsWith("wide_copy_hashes"));
  await migrate(database.connectionString, all.slice(0, wide));
  // The highest bit of the hash is that of the sign.
  const stored = [
    { hash: 2 ** 29 - 1, number: 2 ** 24 - 1, offset: 2047 },
    { hash: 2 ** 28 + 5, number: 1, offset: 0 },
    { hash: 77, number: 12_345, offset: 900 },
  ];
  for (const { hash, number, offset } of stored) {
    const packed = BigInt.asIntN(64, (BigInt(hash) << 35n) | (BigInt(number) << 11n) | BigInt(offset));
    await client.query("INSERT INTO copy_hash (entry) VALUES ($1)", [packed]);
  }
  await migrate(database.connectionString, all);
  const { rows } = await client.query('SELECT hash, number, "offset" FROM copy_hash ORDER BY hash DESC');
  expect(rows).toEqual(stored);
});
