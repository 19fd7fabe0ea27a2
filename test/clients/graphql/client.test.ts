import { fileURLToPath } from "node:url";
import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { startTestApp, type TestApp } from "../../support/app.js";
import { logCase, register, uploadCase } from "../../support/uploads.js";
import type { CompiledApp } from "../compiled-app.js";
import { generateGraphqlApp } from "./generated-app.js";

// The client preset of GraphQL Code Generator reads our schema as any app's build would.

let app: TestApp;
let client: CompiledApp;
let complaints: Awaited<ReturnType<CompiledApp["compile"]>>;
beforeAll(async () => {
  [app, client] = await Promise.all([startTestApp(), generateGraphqlApp()]);
  await client.vary("wrong.ts", [
    ["pack.massGrams", "pack.colour"],
    ["Power_10S", "Beauty"],
  ]);
  complaints = await client.compile("wrong.ts");
});
afterAll(async () => {
  await client.remove();
  await app.close();
});

describe("a client generated from the GraphQL schema", () => {
  it("compiles under strict rules together with an app that uses it", () => {
    expect(complaints.others).toBe("");
  });

  it("runs against the service: ranking, pack, comparison, an upload and its progress", async () => {
    const moderator = await app.signIn("mona", "moderator");
    const headers = await app.signIn("anna");
    for (const [name, fixture] of [
      ["Alpha", "truth-4s-10hz"],
      ["Beta", "plain-20hz"],
    ] as const) {
      const { body } = await uploadCase(app, headers, name, fixture);
      const payload = { decision: "accept", rules: [], note: "Fine." };
      await app.inject({ method: "POST", url: `/v1/runs/${body.id}/reviews`, payload, headers: moderator });
    }
    const found = logCase("jitter-25hz");
    const { packId: _, ...ids } = await register(app, headers, "Gamma", found);
    const run = { protocol: "full-load", startedAt: "2026-05-02T09:12:00Z", ...ids, ...found.conditions };
    const log = fileURLToPath(new URL("../../cross-checks/fixtures/jitter-25hz.csv", import.meta.url));
    const shown = await client.run(app.url, headers.authorization, JSON.stringify(run), log);
    expect(shown).toEqual({
      best: [expect.stringMatching(/^(Alpha|Beta)$/), expect.stringMatching(/^(Alpha|Beta)$/)],
      pack: { name: expect.stringMatching(/^(Alpha|Beta)$/), massGrams: expect.any(Number) },
      runsOfPack: [{ verdict: expect.stringMatching(/^CONFORMING/), figures: expect.any(Number) }],
      compared: expect.arrayContaining(["Alpha", "Beta"]),
      percentOfBaseline: [0, expect.any(Number)],
      stages: expect.arrayContaining(["PROCESSED"]),
      uploaded: { state: "PROCESSED", review: "PENDING", figures: expect.any(Number) },
    });
    expect((shown as { stages: string[] }).stages.at(-1)).toBe("PROCESSED");
  });

  it("does not compile with a field that no type has, nor with a value that no enumeration has", () => {
    expect(complaints.ofFile).toMatch(/'colour' does not exist/);
    expect(complaints.ofFile).toMatch(/'Beauty' does not exist/);
  });
});
