import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { startTestApp, type TestApp } from "../../../test/support/app.js";
import { uploadCase } from "../../../test/support/uploads.js";

// GraphQL Global Object Identification (relay.dev/graphql/objectidentification.htm), its sections named beside the checks.

let app: TestApp;
let anna: { authorization: string };
let moderator: { authorization: string };
let runId: string;
let ids: Record<string, string>;
beforeAll(async () => {
  app = await startTestApp();
  anna = await app.signIn("anna");
  moderator = await app.signIn("mona", "moderator");
  runId = (await uploadCase(app, anna, "Sprint", "truth-4s-10hz")).body.id;
  const { specimenId, benchId, testerId, specimen } = await app.database.run.findUniqueOrThrow({
    where: { id: runId },
    include: { specimen: true },
  });
  ids = { Pack: specimen.packId, Tester: testerId, Run: runId, Specimen: specimenId, Bench: benchId };
});
afterAll(() => app.close());

const accept = () => {
  const payload = { decision: "accept", rules: [], note: "Fine." };
  return app.inject({ method: "POST", url: `/v1/runs/${runId}/reviews`, payload, headers: moderator });
};

/** The types of nodes with these ids, null for each that is not shown. */
async function typesOf(asked: readonly string[], headers: Record<string, string> = {}) {
  const { body } = await app.graphql("query($ids: [ID!]!) { nodes(ids: $ids) { __typename id } }", {
    variables: { ids: asked },
    headers,
  });
  expect(body.errors).toBeUndefined();
  const { nodes } = body.data as { nodes: ({ __typename: string; id: string } | null)[] };
  nodes.forEach((node, index) => void (node && expect(node.id).toBe(asked[index])));
  return nodes.map((node) => node?.__typename ?? null);
}

const types = () => Object.keys(ids);
const all = () => Object.values(ids);

describe("nodes", () => {
  it("of a run that nobody has accepted are for its tester and for who reviews", async () => {
    expect(await typesOf(all(), anna)).toEqual(types());
    expect(await typesOf(all(), moderator)).toEqual(types());
    const shown = types().map((type) => (["Pack", "Tester"].includes(type) ? type : null));
    expect(await typesOf(all())).toEqual(shown);
    expect(await typesOf(all(), await app.signIn("bert"))).toEqual(shown);
  });

  it("are found for everybody once the run is accepted, in the order asked, each as often (4, plural identifying root fields)", async () => {
    await accept();
    expect(await typesOf(all())).toEqual(types());
    const asked = [runId, "nothing", ids.Pack ?? "", "01a2122e-e1a4-753d-899e-c914096834c6", runId];
    expect(await typesOf(asked)).toEqual(["Run", null, "Pack", null, "Run"]);
  });

  it("are the same objects as elsewhere, with their own fields (3, node root field)", async () => {
    const query = `query($run: ID!, $pack: ID!) {
      node(id: $run) { id ... on Run { review figures { key } pack { id name } } }
      same: run(id: $run) { id review figures { key } pack { id name } }
      other: node(id: $pack) { ... on Pack { name } } none: node(id: "x") { id } }`;
    const { body } = await app.graphql(query, { variables: { run: runId, pack: ids.Pack } });
    expect(body.errors).toBeUndefined();
    const { node, same, other, none } = body.data as Record<string, { figures: unknown[] } | null>;
    expect(node).toEqual(same);
    expect(node?.figures.length).toBeGreaterThan(10);
    expect([other, none]).toEqual([{ name: "Sprint" }, null]);
  });

  it("are at most a hundred at once", async () => {
    const { body } = await app.graphql("query($ids: [ID!]!) { nodes(ids: $ids) { id } }", {
      variables: { ids: Array(101).fill(runId) },
    });
    expect(body.errors?.[0]?.extensions).toMatchObject({ code: "invalid-input" });
  });
});
