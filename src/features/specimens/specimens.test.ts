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
    expect(specimen).toEqual({ id: expect.any(String), packId, label: "first", cycles: 3, massGrams: null });
    const url = `/v1/specimens/${specimen.id}`;
    expect((await app.inject({ url, headers: anna })).json()).toEqual(specimen);
    expect((await app.inject({ url, headers: berta })).statusCode).toBe(404);
    expect((await app.inject({ url })).statusCode).toBe(401);
    const query = "{ specimens { edges { node { id packId label cycles massGrams } } } }";
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

  it("are corrected by their owner, with what was before in the audit log, in both APIs", async () => {
    const { id } = (await register({ packId, label: "fourth", cycles: 3, massGrams: 501 })).json<{ id: string }>();
    const other = (await register({ packId, label: "fifth", cycles: 3 })).json<{ id: string }>();
    const correct = (payload: object, headers = anna) =>
      app.inject({ method: "PATCH", url: `/v1/specimens/${id}`, payload, headers });
    expect((await correct({ cycles: 4 }, berta)).statusCode).toBe(404);
    expect((await correct({ label: null })).json()).toMatchObject({ status: 422, errors: [{ pointer: "/label" }] });
    expect((await correct({ label: "fifth" })).json()).toMatchObject({ status: 409, existingId: other.id });
    const whole = { id, packId, label: "No. 4", cycles: 30, massGrams: 501 };
    const corrected = await correct({ label: "No. 4", cycles: 30, reason: "A slip of the finger." });
    expect([corrected.statusCode, corrected.json()]).toEqual([200, whole]);
    expect((await correct({ cycles: 30 })).json()).toEqual(whole);
    const mutation =
      "mutation($id: ID!, $i: SpecimenCorrectionInput!) { correctSpecimen(id: $id, input: $i) { label massGrams } }";
    const { body } = await app.graphql(mutation, { variables: { id, i: { massGrams: null } }, headers: anna });
    expect(body).toEqual({ data: { correctSpecimen: { label: "No. 4", massGrams: null } } });
    const entries = await app.database.auditEntry.findMany({
      where: { subjectId: id },
      orderBy: { position: "asc" },
      include: { reason: true },
    });
    expect(entries.map((one) => [one.event, one.fromState, one.toState, one.reason?.text ?? null])).toEqual([
      ["correct", '{"label":"fourth","cycles":3}', '{"label":"No. 4","cycles":30}', "A slip of the finger."],
      ["correct", '{"massGrams":501}', '{"massGrams":null}', null],
    ]);
  });

  it.each(["none", "00000000-0000-7000-8000-000000000000"])("need a pack that exists, not %s", async (unknown) => {
    const answer = await register({ packId: unknown, label: "third", cycles: 0 });
    expect(answer.json()).toMatchObject({ type: "/problems/unknown-reference", errors: [{ pointer: "/packId" }] });
  });
});
