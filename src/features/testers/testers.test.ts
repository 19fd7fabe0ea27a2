import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { startTestApp, type TestApp } from "../../../test/support/app.js";
import { inRestWords } from "../../../test/support/graphql-words.js";
import { uploadCase } from "../../../test/support/uploads.js";

let app: TestApp;
let headers: { authorization: string };
beforeAll(async () => {
  app = await startTestApp();
  headers = await app.signIn("Anna");
  await app.signIn("bert");
  const accepted = (await uploadCase(app, headers, "Sprint", "truth-4s-10hz")).body.id;
  await app.database.run.update({ where: { id: accepted }, data: { review: "accepted" } });
  await uploadCase(app, headers, "Secret", "truth-4s-10hz");
});
afterAll(() => app.close());

const page = (handle: string) => app.inject({ url: `/v1/testers/${handle}` });

describe("a tester's page", () => {
  it("tells of accepted runs alone, alike in both APIs", async () => {
    const answer = await page("anna");
    expect(answer.json()).toMatchObject({
      handle: "Anna",
      since: expect.stringMatching(/Z$/),
      runs: 1,
      packCount: 1,
      packs: [{ pack: { name: "Sprint" }, runs: 1 }],
      protocols: [{ key: "full-load", runs: 1 }],
    });
    expect(answer.body).not.toContain("Secret");
    const fields = "id handle since runs firstRunAt lastRunAt packCount packs { runs } protocols { key runs }";
    const { body } = await app.graphql(`{ tester(handle: "anna") { ${fields} } }`);
    expect(answer.json()).toMatchObject((inRestWords(body.data) as { tester: object }).tester);
  });

  // Else whoever guesses handles learns who has an account here, and since when.
  it("of a tester of whom nothing is public is shown to nobody but them and moderators, in both APIs", async () => {
    const [bert, carl, mona] = [
      await app.signIn("bert"),
      await app.signIn("carl"),
      await app.signIn("mona", "moderator"),
    ];
    const byGraphql = async (one: Partial<typeof bert>) =>
      (await app.graphql('{ tester(handle: "bert") { handle } }', { headers: { ...one } })).body;
    const unknown = (await app.graphql('{ tester(handle: "nobody") { handle } }')).body;
    for (const one of [{}, carl] as Partial<typeof bert>[]) {
      const [seen, nobodys] = await Promise.all(
        ["bert", "nobody"].map((handle) => app.inject({ url: `/v1/testers/${handle}`, headers: { ...one } })),
      );
      expect(seen?.statusCode).toBe(404);
      expect(seen?.json<{ detail: string }>().detail).toBe(nobodys?.json<{ detail: string }>().detail);
      expect((await byGraphql(one)).errors?.[0]?.extensions.code).toBe(unknown.errors?.[0]?.extensions.code);
    }
    for (const one of [bert, mona]) {
      const answer = await app.inject({ url: "/v1/testers/bert", headers: one });
      expect(answer.json()).toMatchObject({ runs: 0, firstRunAt: null, packs: [], protocols: [] });
      expect((await byGraphql(one)).data).toEqual({ tester: { handle: "bert" } });
    }
  });

  it.each(["nobody", "%00", "a", "anna%20", "01a2122e-e1a4-753d-899e-c914096834c6"])(
    "is not found for %s, who is nobody",
    async (handle) => expect((await page(handle)).statusCode).toBe(404),
  );

  it("is not found once the account was erased, under either handle", async () => {
    const erased = await app.inject({
      method: "POST",
      url: "/v1/accounts/me/erasure",
      payload: { password: "correct horse battery" },
      headers,
    });
    const { handle } = erased.json<{ handle: string }>();
    for (const name of ["anna", handle]) expect([name, (await page(name)).statusCode]).toEqual([name, 404]);
  });
});
