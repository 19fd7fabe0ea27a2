import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { cloneDatabase, cutConnections, type TestDatabase } from "../../../../test/support/database.js";
import { singleConnection } from "../connections/single-connection.js";
import { withDatabase } from "./with-database.js";

let database: TestDatabase;
beforeAll(async () => {
  database = await cloneDatabase();
});
afterAll(async () => {
  await database.drop();
});

describe("what a start needs of the database", () => {
  it("is done again when the database goes away while it is done", async () => {
    let tries = 0;
    const answer = await withDatabase(database.connectionString, 60_000, async () => {
      const client = singleConnection(database);
      await client.connect();
      try {
        if (++tries < 3)
          await Promise.all([client.query("SELECT pg_sleep(3600)"), cutConnections(database.connectionString)]);
        return (await client.query("SELECT 42 AS answer")).rows[0].answer as number;
      } finally {
        await client.end();
      }
    });
    expect([answer, tries]).toEqual([42, 3]);
  });

  it("is given up at once where waiting would not mend it", async () => {
    let tries = 0;
    const work = async () => {
      tries++;
      throw new Error("another history");
    };
    await expect(withDatabase(database.connectionString, 60_000, work)).rejects.toThrow("another history");
    expect(tries).toBe(1);
  });
});
