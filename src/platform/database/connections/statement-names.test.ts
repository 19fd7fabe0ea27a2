import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { cloneDatabase, type TestDatabase } from "../../../../test/support/database.js";
import { Database } from "../database.js";
import { MAX_NAMED, statementNames } from "./statement-names.js";

const send = (name: ReturnType<typeof statementNames>, sql: string) => name({ sql, args: [], argTypes: [] });

describe("the name of a statement", () => {
  it("is given at its third use, and is its own from then on", () => {
    const names = statementNames();
    expect([1, 2, 3, 4].map(() => send(names, "select 1"))).toEqual(["", "", "statement_1", "statement_1"]);
    expect([1, 2, 3].map(() => send(names, "select 2"))).toEqual(["", "", "statement_2"]);
    expect(send(names, "select 1")).toBe("statement_1");
  });

  it("is none for what is sent once, however often a reader sends another, and those that come again keep theirs", () => {
    const names = statementNames();
    for (let n = 0; n < 3; n++) send(names, "select 1");
    for (let n = 0; n < 10_000; n++) expect(send(names, `select 1 where id in (${n})`)).toBe("");
    expect(send(names, "select 1")).toBe("statement_1");
  });

  it("is given to so many and no more", () => {
    const names = statementNames();
    const given = Array.from({ length: MAX_NAMED + 50 }, (_, n) => [1, 2, 3].map(() => send(names, `select ${n}`))[2]);
    expect(new Set(given).size).toBe(MAX_NAMED + 1);
    expect(given.slice(MAX_NAMED)).toEqual(Array(50).fill(""));
  });
});

describe("a database", () => {
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
  const preparedStatements = () =>
    database.pool.query<{ statement: string }>("select statement from pg_prepared_statements where not from_sql");

  it("keeps what comes again prepared, with whatever values, in transactions too", async () => {
    for (const key of ["a", "b", "c", "d"]) await database.protocol.findMany({ where: { key } });
    await database.$transaction(async (transaction) => {
      for (const key of ["a", "full-load"]) await transaction.protocol.findMany({ where: { key } });
    });
    const { rows } = await preparedStatements();
    expect(rows.map(({ statement }) => /FROM "public"\."protocol"/.test(statement))).toEqual([true]);
  });

  it("answers by a prepared statement after a column was added, as an upgrade beside it would", async () => {
    const find = () =>
      database.protocol.findMany({ where: { key: "full-load" }, select: { key: true, version: true } });
    const before = [await find(), await find(), await find()][2];
    await database.pool.query("alter table protocol add column added integer");
    expect(await find()).toEqual(before);
  });
});
