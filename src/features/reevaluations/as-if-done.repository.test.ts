import { randomUUID } from "node:crypto";
import { afterAll, beforeAll, expect, it } from "@jest/globals";
import { cloneDatabase, type TestDatabase } from "../../../test/support/database.js";
import { Database, type Transaction } from "../../platform/database/database.js";
import { AsIfDoneRepository } from "./as-if-done.repository.js";

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
  const asIf = new AsIfDoneRepository();
  const [ofRecord] = [await versions(database), await versions(database), await versions(database)];
  for (const computationVersion of [901, 902]) {
    const target = { protocolKey: "full-load", protocolVersion: 1, computationVersion };
    const read = await database.$transaction(async (tx) => {
      const found = await asIf.read(tx, { id: randomUUID(), dryRun: true, ...target }, [], versions);
      // The record again, before the transaction has ended.
      return [found, await versions(tx)];
    });
    expect(read).toEqual([[computationVersion], ofRecord]);
    expect(await versions(database)).toEqual(ofRecord);
  }
});
