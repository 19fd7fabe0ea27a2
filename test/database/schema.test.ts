import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { Client } from "pg";
import { differenceSql, migrationList } from "../../prisma/engine/difference.js";
import { withSchemaEngine } from "../../prisma/engine/schema-engine.js";
import { migrate } from "../../prisma/migrate.js";
import { LOAD_KINDS, SENSE_POINTS } from "../../src/core/inputs/bench.js";
import { CHEMISTRIES } from "../../src/core/inputs/pack.js";
import { BASES, OUTCOMES, SEVERITIES, STOP_REASONS, VERDICTS } from "../../src/core/model.js";
import { ROLES } from "../../src/platform/auth/account.js";
import { cloneDatabase, createEmptyDatabase, type TestDatabase } from "../support/database.js";

let migrated: TestDatabase;
let empty: TestDatabase;
let client: Client;
beforeAll(async () => {
  migrated = await cloneDatabase();
  empty = await createEmptyDatabase();
  client = new Client({ connectionString: migrated.connectionString });
  await client.connect();
});
afterAll(async () => {
  await client.end();
  await migrated.drop();
  await empty.drop();
});

async function wordsOf(constraint: string): Promise<string[]> {
  const { rows } = await client.query<{ definition: string }>(
    "SELECT pg_get_constraintdef(oid) AS definition FROM pg_constraint WHERE conname = $1",
    [constraint],
  );
  return [...(rows[0]?.definition ?? "").matchAll(/'([^']+)'/g)].map((match) => match[1] ?? "");
}

describe("the database's schema", () => {
  it("is what schema.prisma says, by the migrations alone", async () => {
    expect(await differenceSql(empty.connectionString)).toBeNull();
  });

  it("takes every migration once", async () => {
    expect(await migrate(migrated.connectionString)).toEqual([]);
  });

  it("has a history that Prisma's own engine agrees with", async () => {
    const migrationsList = await migrationList();
    const options = { isThrowaway: false };
    const history = await withSchemaEngine(migrated.connectionString, options, (engine) =>
      engine.diagnoseMigrationHistory({
        migrationsList,
        optInToShadowDatabase: false,
        filters: { externalTables: [], externalEnums: [] },
      }),
    );
    expect(history).toMatchObject({
      history: null,
      failedMigrationNames: [],
      editedMigrationNames: [],
      hasMigrationsTable: true,
    });
  });

  it.each([
    ["account_role_check", ROLES],
    ["pack_chemistry_check", CHEMISTRIES],
    ["bench_load_kind_check", LOAD_KINDS],
    ["bench_sense_point_check", SENSE_POINTS],
    ["evaluation_stop_check", STOP_REASONS],
    ["evaluation_verdict_check", VERDICTS],
    ["figure_basis_check", BASES],
    ["finding_severity_check", SEVERITIES],
    ["finding_outcome_check", OUTCOMES],
  ])("allows in %s the words that the code knows", async (constraint, words) => {
    expect(await wordsOf(constraint)).toEqual([...words]);
  });
});
