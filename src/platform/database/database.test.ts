import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { cloneDatabase, type TestDatabase } from "../../../test/support/database.js";
import { Database, type Transaction } from "./database.js";

let clone: TestDatabase;
let database: Database;
beforeAll(async () => {
  clone = await cloneDatabase();
  database = new Database(clone.connectionString, 2);
});
afterAll(async () => {
  await database.onApplicationShutdown();
  await clone.drop();
});

const fail = (tx: Transaction, sqlState: string) =>
  tx.$executeRawUnsafe(`DO $$ BEGIN RAISE EXCEPTION 'ended' USING ERRCODE = '${sqlState}'; END $$`);
const handles = async () =>
  (await database.account.findMany({ orderBy: { handle: "asc" } })).map(({ handle }) => handle);

// SQLSTATE codes: PostgreSQL documentation, appendix A; its chapter 13 on concurrency control asks to retry after both.
describe("a transaction that the database ends because of others", () => {
  it.each([
    ["a deadlock", "40P01"],
    ["a serialization failure", "40001"],
  ])("is done again after %s, and nothing of the first try stays", async (_, sqlState) => {
    let tries = 0;
    await database.$transaction(async (tx) => {
      await tx.account.create({ data: { handle: `${sqlState}-${++tries}` } });
      if (tries === 1) await fail(tx, sqlState);
    });
    expect(tries).toBe(2);
    expect((await handles()).filter((one) => one.startsWith(sqlState))).toEqual([`${sqlState}-2`]);
  });

  it("is given up after four tries", async () => {
    let tries = 0;
    const work = database.$transaction(async (tx) => {
      tries++;
      await fail(tx, "40P01");
    });
    await expect(work).rejects.toMatchObject({ code: expect.stringMatching(/^P20/) });
    expect(tries).toBe(4);
  });

  it("is not done again after what would fail again", async () => {
    for (const error of ["23505", "57014", "XX000"]) {
      let tries = 0;
      await expect(
        database.$transaction(async (tx) => {
          tries++;
          await fail(tx, error);
        }),
      ).rejects.toThrow();
      expect(tries).toBe(1);
    }
  });

  it("is one of several statements too", async () => {
    const results = await database.$transaction([database.account.count(), database.$queryRaw`SELECT 1 AS one`]);
    expect(results[1]).toEqual([{ one: 1 }]);
  });
});
