import { afterAll, beforeAll, expect, it } from "@jest/globals";
import { startTestApp, type TestApp } from "../../../../test/support/app.js";
import { integersOf } from "./integer-list.js";

let app: TestApp;
beforeAll(async () => {
  app = await startTestApp();
});
afterAll(() => app.close());

// PostgreSQL's type integer: -2147483648 to +2147483647 (its manual, "Numeric Types").
it.each([
  ["none", []],
  ["the least and the largest", [-2147483648, -1, 0, 1, 2147483647]],
  ["many", Array.from({ length: 20_000 }, (_, i) => (i * 2654435761) | 0)],
])("the database reads %s as it was sent, in its order", async (_, numbers) => {
  const [row] = await app.database.prepared<{ read: number[] }>("integers", "SELECT $1::int[] AS read", [
    integersOf(Int32Array.from(numbers)),
  ]);
  expect(row?.read).toEqual(numbers);
});
