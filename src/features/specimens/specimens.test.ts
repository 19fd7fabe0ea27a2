import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { startTestApp, type TestApp } from "../../../test/support/app.js";
import { productOf } from "../../../test/support/facts.js";

let app: TestApp;
let anna: { authorization: string };
let berta: { authorization: string };
let packId: string;
beforeAll(async () => {
  app = await startTestApp();
  anna = await app.signIn("anna");
  berta = await app.signIn("berta");
  const pack = await app.inject({ method: "POST", url: "/v1/packs", payload: productOf("A"), headers: anna });
  packId = pack.json<{ id: string }>().id;
});
afterAll(() => app.close());

function register(payload: object, headers = anna) {
  return app.inject({ method: "POST", url: "/v1/specimens", payload, headers });
}

describe("specimens", () => {
  it("belong to who registered them and are shown to no one else, in both APIs", async () => {
    const specimen = (await register({ packId, label: "first", cycles: 3 })).json<{ id: string }>();
    expect(specimen).toEqual({ id: expect.any(String), packId, label: "first", cycles: 3 });
    const url = `/v1/specimens/${specimen.id}`;
    expect((await app.inject({ url, headers: anna })).json()).toEqual(specimen);
    expect((await app.inject({ url, headers: berta })).statusCode).toBe(404);
    expect((await app.inject({ url })).statusCode).toBe(401);
    const query = "{ specimens { edges { node { id packId label cycles } } } }";
    expect((await app.graphql(query, { headers: anna })).body.data).toEqual({
      specimens: { edges: [{ node: specimen }] },
    });
    expect((await app.graphql(query, { headers: berta })).body.data).toEqual({ specimens: { edges: [] } });
  });

  it("share no label within one tester's pack, and others may use it", async () => {
    const first = await register({ packId, label: "second", cycles: 0 });
    const again = await register({ packId, label: "second", cycles: 9 });
    expect(again.json()).toMatchObject({ status: 409, existingId: first.json<{ id: string }>().id });
    expect((await register({ packId, label: "second", cycles: 0 }, berta)).statusCode).toBe(201);
  });

  it.each(["none", "00000000-0000-7000-8000-000000000000"])("need a pack that exists, not %s", async (unknown) => {
    const answer = await register({ packId: unknown, label: "third", cycles: 0 });
    expect(answer.json()).toMatchObject({ type: "/problems/unknown-reference", errors: [{ pointer: "/packId" }] });
  });
});
