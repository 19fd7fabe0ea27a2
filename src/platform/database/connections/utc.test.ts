import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { startTestApp, type TestApp } from "../../../../test/support/app.js";
import { singleConnection } from "./single-connection.js";

// The tests' server is in another zone (test/support/jest/keeper.js). The instant is that of RFC 3339, section 5.8, first example.
const INSTANT = "1985-04-12T23:20:50.520Z";

let app: TestApp;
beforeAll(async () => {
  app = await startTestApp();
});
afterAll(() => app.close());

describe("times, at a server whose zone is another", () => {
  it("has a server in another zone", async () => {
    const client = singleConnection({ connectionString: app.database.connectionString });
    await client.connect();
    const { rows } = await client.query("SELECT reset_val AS zone FROM pg_settings WHERE name = 'TimeZone'");
    await client.end();
    expect(rows).toEqual([{ zone: "America/St_Johns" }]);
  });

  it("are read as they were stored, by the record's library and by plain statements", async () => {
    await app.signIn("zoe");
    const account = await app.database.account.findFirstOrThrow({ where: { handle: "zoe" } });
    const where = { id: account.id };
    await app.database.account.update({ where, data: { createdAt: new Date(INSTANT) } });
    expect((await app.database.account.findUniqueOrThrow({ where })).createdAt.toISOString()).toBe(INSTANT);
    const [read] = await app.database.$queryRaw<{ at: Date; day: string; text: string }[]>`
      SELECT created_at AS at, created_at::date::text AS day, created_at::text AS text FROM account
      WHERE id = ${account.id}::uuid`;
    expect(read?.at.toISOString()).toBe(INSTANT);
    expect(read).toMatchObject({ day: "1985-04-12", text: "1985-04-12 23:20:50.52+00" });
  });

  it("are UTC's on a connection of its own, however it is awaited", async () => {
    for (const isPromised of [true, false]) {
      const client = singleConnection({ connectionString: app.database.connectionString });
      if (isPromised) await client.connect();
      else
        await new Promise<void>((done, failed) =>
          client.connect((error: Error | null) => (error ? failed(error) : done())),
        );
      const { rows } = await client.query("SELECT timestamptz '1985-04-12T23:20:50.520Z'::text AS text");
      await client.end();
      expect(rows).toEqual([{ text: "1985-04-12 23:20:50.52+00" }]);
    }
  });
});
