import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { startTestApp, type TestApp } from "../../../test/support/app.js";
import { newestProtocol } from "../../../test/support/protocols.js";
import { PROTOCOLS } from "../../core/protocol/index.js";
import { ProtocolsService } from "./protocols.service.js";

let app: TestApp;
beforeAll(async () => {
  app = await startTestApp();
});
afterAll(() => app.close());

describe("protocols", () => {
  it.each(PROTOCOLS.map(({ key, version }) => [key, version] as const))(
    "publish %s version %d as the code defines it, alike in both APIs",
    async (key, version) => {
      const answer = await app.inject({ url: `/v1/protocols/${key}/versions/${version}` });
      const document = PROTOCOLS.find((protocol) => protocol.key === key && protocol.version === version);
      const protocol = answer.json<{ document: unknown }>();
      // RFC 8246: whoever has a version never asks for it again.
      expect(answer.headers["cache-control"]).toBe("public, max-age=31536000, immutable");
      expect(protocol.document).toEqual(JSON.parse(JSON.stringify(document)));
      const { body } = await app.graphql(
        "query($key: String!, $version: Int) { protocol(key: $key, version: $version) { key version title summary publishedAt document } }",
        { variables: { key, version } },
      );
      expect(body.data).toEqual({ protocol });
    },
  );

  it("answer with the newest version when none is named", async () => {
    const none = await app.inject({ url: "/v1/protocols/full-load/versions/999999" });
    expect([none.statusCode, none.headers["cache-control"]]).toEqual([404, "no-store"]);
    const newest = (await app.inject({ url: "/v1/protocols/full-load" })).json<{ version: number }>();
    expect(newest.version).toBe(newestProtocol("full-load").version);
  });

  it.each([
    "/v1/protocols/none",
    "/v1/protocols/full-load/versions/999999",
    "/v1/protocols/full-load/versions/1.0",
    "/v1/protocols/%00",
  ])("are not found at %s", async (url) => {
    expect((await app.inject({ url })).statusCode).toBe(404);
  });

  it("can be published again and stay what they were", async () => {
    await expect(app.nest.get(ProtocolsService).publish()).resolves.toBeUndefined();
  });

  it("stop a program that defines a published version otherwise", async () => {
    const changed = PROTOCOLS.map((protocol) => ({ ...protocol, title: "Another" }));
    await expect(app.nest.get(ProtocolsService).publish(changed)).rejects.toThrow("published with another content");
  });

  it.each(["UPDATE protocol SET document = '{}'", "DELETE FROM protocol", "TRUNCATE protocol CASCADE"])(
    "are kept by the database from %s",
    async (statement) => {
      await expect(app.database.pool.query(statement)).rejects.toThrow("never changed or removed");
    },
  );
});
