import { afterAll, beforeAll, expect, it } from "@jest/globals";
import { startTestApp, type TestApp } from "../../../../test/support/app.js";
import { statementsOf } from "../../../../test/support/statements.js";
import { insertRows, insertRowsOf } from "./insert-rows.js";

let app: TestApp;
beforeAll(async () => {
  app = await startTestApp();
  await app.database.$executeRaw`
    CREATE TABLE try (run_id uuid, "value" float8, "limit" text, found jsonb, at timestamptz(3), hits int DEFAULT 7)`;
});
afterAll(() => app.close());

// IEEE 754 doubles whose shortest decimal has 17 digits, the least and the largest one.
const VALUES = [0.1 + 0.2, -1.7976931348623157e308, 5e-324, 1 / 3, 123456789.12345679];
const ROWS = VALUES.map((value, i) => ({
  runId: `01a2122e-e1a4-753d-899e-c91409683${String(100 + i)}`,
  value,
  limit: `" at 'most' ${i}; -- \u{1f50b}`,
  found: i === 0 ? null : [{ part: "clock", value }],
  at: new Date(Date.UTC(2026, 4, 2, 9, 12, 0, i)),
}));

it("inserts what it is given, to the last digit, and leaves what is not named to its default", async () => {
  await app.database.$transaction((tx) => insertRows(tx, "try", ROWS));
  const found = await app.database.$queryRaw`
    SELECT run_id::text AS "runId", "value", "limit", found, at, hits FROM try ORDER BY at`;
  expect(found).toEqual(ROWS.map((row) => ({ ...row, hits: 7 })));
});

it("sends the same statement for any number of rows, and none for none", async () => {
  const send = (rows: readonly object[]) => statementsOf(app, () => insertRows(app.database, "try", rows));
  const texts = (await Promise.all([1, 2, 5].map((count) => send(ROWS.slice(0, count)))))
    .flat()
    .map(({ text }) => text);
  expect(new Set(texts).size).toBe(1);
  expect(await send([])).toEqual([]);
});

it("inserts into several tables by one statement, and leaves out those with no rows", async () => {
  await app.database.$executeRaw`CREATE TABLE other_try (run_id uuid, text text)`;
  const [row] = ROWS;
  const statements = await statementsOf(app, () =>
    insertRowsOf(app.database, { try: [row as object], none: [], other_try: [{ runId: row?.runId, text: "second" }] }),
  );
  expect(statements).toHaveLength(1);
  expect(await app.database.$queryRaw`SELECT text, try.value FROM other_try JOIN try USING (run_id)`).toContainEqual({
    text: "second",
    value: row?.value,
  });
});
