import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { startTestApp, type TestApp } from "../../../test/support/app.js";
import { productOf } from "../../../test/support/facts.js";
import type { SimilarPacksView } from "./related-packs.views.js";

let app: TestApp;
let anna: { authorization: string };
let mona: { authorization: string };
let [lagoon, lagoons, strait]: string[] = [];
beforeAll(async () => {
  app = await startTestApp();
  anna = await app.signIn("anna");
  mona = await app.signIn("mona", "moderator");
  lagoon = await register(productOf("Lagoon"));
  lagoons = await register({ ...productOf("Lagoons"), differsFrom: [lagoon] });
  strait = await register(productOf("Strait"));
});
afterAll(() => app.close());

async function register(payload: object): Promise<string> {
  return (await app.inject({ method: "POST", url: "/v1/packs", payload, headers: anna })).json<{ id: string }>().id;
}

const list = (id: string | undefined, what: "similar" | "merged", headers = mona) =>
  app.inject({ url: `/v1/packs/${id}/${what}`, headers });
const namesIn = async (id: string | undefined) =>
  (await list(id, "merged")).json<{ items: { name: string }[] }>().items.map(({ name }) => name);
const merge = (id: string | undefined, into: string | undefined) =>
  app.inject({ method: "POST", url: `/v1/packs/${id}/merge`, payload: { into }, headers: mona });

describe("packs that belong together", () => {
  it("are named to moderators as candidates of each other, with why, and never a pack of itself", async () => {
    for (const [id, other] of [
      [lagoon, lagoons],
      [lagoons, lagoon],
    ]) {
      const { items } = (await list(id, "similar")).json<SimilarPacksView>();
      expect(items).toMatchObject([{ pack: { id: other, status: "proposed" }, why: "similar-name" }]);
    }
    expect((await list(strait, "similar")).json()).toEqual({ items: [] });
    expect([(await list(lagoon, "similar", anna)).statusCode, (await list(lagoon, "merged", anna)).statusCode]).toEqual(
      [403, 403],
    );
    expect((await list("nothing", "similar")).statusCode).toBe(404);
  });

  it("are listed as merged while they are, also one after another, and a merged pack's address leads on", async () => {
    expect(await namesIn(lagoon)).toEqual([]);
    await merge(lagoons, lagoon);
    expect(await namesIn(lagoon)).toEqual(["Lagoons"]);
    expect((await list(lagoon, "similar")).json()).toEqual({ items: [] });
    const moved = await list(lagoons, "similar");
    expect([moved.statusCode, moved.headers.location]).toEqual([308, `/v1/packs/${lagoon}/similar`]);
    await merge(lagoon, strait);
    expect(await namesIn(strait)).toEqual(["Lagoon", "Lagoons"]);
    const { body } = await app.graphql(
      "query($id: ID!) { mergedPacks(id: $id, first: 1) { totalCount edges { node { name } } } }",
      {
        variables: { id: strait },
        headers: mona,
      },
    );
    expect(body).toEqual({ data: { mergedPacks: { totalCount: 2, edges: [{ node: { name: "Lagoon" } }] } } });
    await app.inject({ method: "DELETE", url: `/v1/packs/${lagoon}/merge`, headers: mona });
    expect([await namesIn(strait), await namesIn(lagoon)]).toEqual([[], ["Lagoons"]]);
  });
});
