import { afterAll, beforeAll, expect, it } from "@jest/globals";
import { Client } from "pg";
import { createEmptyDatabase, type TestDatabase } from "../test/support/database.js";
import { migrate } from "./migrate.js";
import { readMigrations } from "./migration-files.js";

const idOf = (number: number) => `018f0000-0000-7000-8000-00000000000${number}`;
const [ACCOUNT, FIRST, SECOND, THIRD, FOURTH] = [1, 2, 3, 4, 5].map(idOf) as [string, string, string, string, string];
const [LONG, SHORT] = [idOf(6), idOf(7)];

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

it("merges from before they were traced lead where they did, are marked, and give back no label that was cut", async () => {
  const all = await readMigrations();
  await migrate(
    database.connectionString,
    all.slice(
      0,
      all.findIndex(({ name }) => name.endsWith("traced_merges")),
    ),
  );
  await client.query("INSERT INTO account (id, handle) VALUES ($1, 'tilda')", [ACCOUNT]);
  for (const id of [FOURTH, THIRD, SECOND, FIRST]) {
    await client.query(
      `INSERT INTO pack (id, maker, name, chemistry, series, parallel, rated_capacity_mah, created_by_id)
       VALUES ($1::uuid, 'Halden Cells', $1::text, 'lipo', 4, 1, 4000, $2)`,
      [id, ACCOUNT],
    );
  }
  // The first one became the second, which became the third: both lead there. The fourth one was merged into the third lately.
  await client.query("UPDATE pack SET merged_into_id = $1 WHERE id = ANY($2)", [THIRD, [FIRST, SECOND]]);
  await client.query("UPDATE pack SET merged_into_id = $1::uuid, merged_directly_into_id = $1::uuid WHERE id = $2", [
    THIRD,
    FOURTH,
  ]);
  const hash = (number: number) => Buffer.alloc(32, number);
  for (const [position, [id, into]] of [
    [FIRST, SECOND],
    [SECOND, THIRD],
  ].entries()) {
    await client.query(
      `INSERT INTO audit_log (position, at, event, subject_kind, subject_id, from_state, to_state, previous_hash, hash)
       VALUES ($1, now(), 'merge', 'pack', $2, 'separate', $3, $4, $5)`,
      [position + 1, id, `merged into ${into}`, hash(position), hash(position + 1)],
    );
  }
  for (const [id, label] of [
    [SHORT, "No. 1"],
    [LONG, "x".repeat(60)],
  ]) {
    await client.query(
      `INSERT INTO specimen (id, pack_id, owner_id, label, cycles, merged_from_id)
       VALUES ($1::uuid, $2, $3, $4 || ' (' || right($1::text, 12) || ')', 0, $5)`,
      [id, THIRD, ACCOUNT, label, FOURTH],
    );
  }
  await migrate(database.connectionString, all);
  const packs = await client.query(
    "SELECT id, merged_directly_into_id AS into, merged_untraced AS untraced FROM pack ORDER BY id",
  );
  expect(packs.rows).toEqual([
    { id: FIRST, into: SECOND, untraced: true },
    { id: SECOND, into: THIRD, untraced: true },
    { id: THIRD, into: null, untraced: false },
    { id: FOURTH, into: THIRD, untraced: false },
  ]);
  const specimens = await client.query("SELECT plain_label FROM specimen ORDER BY id");
  expect(specimens.rows.map(({ plain_label }) => plain_label)).toEqual([null, "No. 1"]);
});
