import { afterAll, beforeAll, expect, it } from "@jest/globals";
import { startTestApp, type TestApp } from "../../../../test/support/app.js";
import { updateOf } from "./update-row.js";

const [ONE, OTHER] = ["01a2122e-e1a4-753d-899e-c91409683101", "01a2122e-e1a4-753d-899e-c91409683102"] as const;

let app: TestApp;
beforeAll(async () => {
  app = await startTestApp();
  await app.database.$executeRaw`
    CREATE TABLE try (id uuid, "value" float8 DEFAULT 1, "limit" text DEFAULT 'none', found_in jsonb DEFAULT '[]', hits int DEFAULT 7)`;
  await app.database.$executeRaw`INSERT INTO try (id) VALUES (${ONE}::uuid), (${OTHER}::uuid)`;
});
afterAll(() => app.close());

const row = async (id: string) =>
  (
    await app.database.$queryRaw<
      object[]
    >`SELECT "value", "limit", found_in AS "foundIn", hits FROM try WHERE id = ${id}::uuid`
  )[0];

// IEEE 754: a double whose shortest decimal has 17 digits.
const VALUE = 0.1 + 0.2;

it("changes what is named of one row, to the last digit, and null to nothing", async () => {
  const members = { value: VALUE, limit: null, foundIn: [{ part: "'clock'" }] };
  expect(await app.database.$executeRaw(updateOf("try", ONE, members))).toBe(1);
  expect(await row(ONE)).toEqual({ ...members, hits: 7 });
  expect(await row(OTHER)).toEqual({ value: 1, limit: "none", foundIn: [], hits: 7 });
});

it("changes one member, within another statement", async () => {
  const found = await app.database.$queryRaw`
    WITH moved AS (${updateOf("try", OTHER, { hits: 8 })} RETURNING hits) SELECT hits FROM moved`;
  expect(found).toEqual([{ hits: 8 }]);
});
