import { randomUUID } from "node:crypto";
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

const insert = (handle: string, id: string = randomUUID()) =>
  client.query("INSERT INTO account (id, handle) VALUES ($1, $2)", [id, handle]);

it("accounts whose handles are alike already keep them, and nobody gets another such handle", async () => {
  const all = await readMigrations();
  const alike = all.findIndex(({ name }) => name.endsWith("alike_handles"));
  await migrate(database.connectionString, all.slice(0, alike));
  const handles = ["tester-l", "tester_1", "Tester-I", "bruno", "brun0", "carla"];
  for (const handle of handles) await insert(handle);
  await migrate(database.connectionString, all);
  const { rows } = await client.query<{ handle: string }>("SELECT handle FROM account");
  expect(rows.map(({ handle }) => handle).sort()).toEqual(handles.toSorted());
  for (const handle of ["tester--1", "BRUN0_", "car1a"]) {
    await expect(insert(handle)).rejects.toMatchObject({ code: "23505", constraint: "account_handle_skeleton_key" });
  }
  // Each is changed as before, and none of them is another's hindrance.
  await client.query("UPDATE account SET role = 'moderator', handle = handle");
});
