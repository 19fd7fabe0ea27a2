import { randomUUID } from "node:crypto";
import { afterAll, beforeAll, expect, it } from "@jest/globals";
import { cloneDatabase, type TestDatabase } from "../../../test/support/database.js";
import { Database, type Transaction } from "../../platform/database/database.js";
import { DryRunRepository } from "./dry-run.repository.js";

let clone: TestDatabase;
let database: Database;
beforeAll(async () => {
  clone = await cloneDatabase();
  database = new Database(clone.connectionString, 1);
});
afterAll(async () => {
  await database.onApplicationShutdown();
  await clone.drop();
});

it("is read by statements that the connection keeps prepared for the record, and the record by them again", async () => {
  const versions = async (from: Transaction) => {
    const rows = await from.$queryRaw<{ version: number }[]>`SELECT computation_version AS version FROM active_version`;
    return [...new Set(rows.map(({ version }) => version))];
  };
  const target = (computationVersion: number) => ({ protocolKey: "full-load", protocolVersion: 1, computationVersion });
  const dry = new DryRunRepository(database);
  const [ofRecord] = [await versions(database), await versions(database), await versions(database)];
  for (const version of [901, 902]) {
    expect(await dry.asIfDone(randomUUID(), target(version), 30_000, versions)).toEqual([version]);
    expect(await versions(database)).toEqual(ofRecord);
  }
});
