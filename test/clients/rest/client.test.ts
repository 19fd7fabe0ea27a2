import { fileURLToPath } from "node:url";
import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { startTestApp, type TestApp } from "../../support/app.js";
import { logCase, register, uploadCase } from "../../support/uploads.js";
import type { CompiledApp } from "../compiled-app.js";
import { generateRestApp } from "./generated-app.js";

// openapi-typescript with openapi-fetch reads our contract as any app's build would; server-sent events are read by eventsource-parser.

let app: TestApp;
let client: CompiledApp;
let complaints: Awaited<ReturnType<CompiledApp["compile"]>>;
beforeAll(async () => {
  [app, client] = await Promise.all([startTestApp(), generateRestApp()]);
  await client.vary("wrong.ts", [
    ["pack.massGrams", "pack.colour"],
    ['row.figure === "capacity"', 'row.figure === "beauty"'],
    [
      '"/v1/packs/{id}", { params: { path: { id: "no-such-pack" } }',
      '"/v1/pack/{id}", { params: { path: { id: "no-such-pack" } }',
    ],
  ]);
  complaints = await client.compile("wrong.ts");
});
afterAll(async () => {
  await client.remove();
  await app.close();
});

describe("a client generated from the description of the REST API", () => {
  it("compiles under strict rules together with an app that uses it", () => {
    expect(complaints.others).toBe("");
  });

  it("runs against the service: ranking, pack, comparison, an upload and its progress, a problem", async () => {
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
      compared: expect.arrayContaining(["Alpha", "Beta"]),
      percentOfBaseline: [0, expect.any(Number)],
      stages: expect.arrayContaining(["processed"]),
      uploaded: { state: "processed", review: "pending", figures: expect.any(Number) },
      unknown: "not-found",
    });
    expect((shown as { stages: string[] }).stages.at(-1)).toBe("processed");
  });

  it("does not compile with a member that no answer has, a value that is not listed, or an address that is none", () => {
    expect(complaints.ofFile).toMatch(/'colour' does not exist/);
    expect(complaints.ofFile).toMatch(/'"beauty"'/);
    expect(complaints.ofFile).toMatch(/"\/v1\/pack\/\{id\}/);
  });
});
