import { setTimeout as delay } from "node:timers/promises";
import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { GraphQLSchemaHost } from "@nestjs/graphql";
import { execute, parse } from "graphql";
import { CopiesService } from "../../src/features/copies/copies.service.js";
import { startTestApp, type TestApp } from "../support/app.js";
import { repeatRun } from "../support/repeat-run.js";
import { statementsOf } from "../support/statements.js";
import { uploadCase } from "../support/uploads.js";

// GraphQL Cursor Connections Specification (relay.dev/graphql/connections.htm), 4: pages, at any depth.

const REPEATS = 6;

interface Connection {
  readonly totalCount: number;
  readonly edges: readonly { readonly cursor: string; readonly node: Readonly<Record<string, unknown>> }[];
  readonly pageInfo: Readonly<Record<string, unknown>>;
}

let app: TestApp;
const packs: string[] = [];
let testers: string[];
let pending: string;
beforeAll(async () => {
  app = await startTestApp();
  const moderator = await app.signIn("mona", "moderator");
  const anna = await app.signIn("anna");
  const bert = await app.signIn("bert");
  const runs = [
    (await uploadCase(app, anna, "Sprint", "truth-4s-10hz")).body,
    (await uploadCase(app, bert, "Ridge", "plain-20hz")).body,
  ];
  const jobs = () => app.database.$queryRaw<object[]>`SELECT FROM graphile_worker.jobs`;
  while ((await jobs()).length > 0) await delay(20);
  await repeatRun(app.database, runs[0]?.id ?? "", REPEATS);
  for (const { id, pack } of runs) {
    packs.push(pack.id);
    await app.nest.get(CopiesService).awaitCheck(id);
    const payload = { decision: "accept", rules: [], note: "Looked at." };
    await app.inject({ method: "POST", url: `/v1/runs/${id}/reviews`, payload, headers: moderator });
  }
  await app.database.run.updateMany({ data: { review: "accepted" } });
  testers = runs.map(({ tester }) => tester.id);
  pending = (await uploadCase(app, anna, "Sprint", "jitter-25hz")).body.id;
  // The jobs that follow an upload send statements of their own.
  while ((await jobs()).length > 0) await delay(20);
});
afterAll(() => app.close());

/** Runs a document past what would refuse its cost, to see what is read. */
async function read(document: string) {
  const { schema } = app.nest.get(GraphQLSchemaHost);
  let result: Awaited<ReturnType<typeof execute>> = {};
  const statements = await statementsOf(app, async () => {
    result = await execute({ schema, document: parse(document), contextValue: { req: { headers: {} } } });
  });
  expect(result.errors).toBeUndefined();
  return { data: result.data as Record<string, unknown>, statements: statements.length };
}

const PAGE = "pageInfo { hasNextPage hasPreviousPage startCursor endCursor }";
const runsOf = async (args: string): Promise<Connection> => {
  const { body } = await app.graphql(
    `{ pack(id: "${packs[0]}") { runs(${args}) { totalCount edges { cursor node { id review } } ${PAGE} } } }`,
  );
  expect(body.errors).toBeUndefined();
  return (body.data as { pack: { runs: Connection } }).pack.runs;
};
const ids = ({ edges }: Connection) => edges.map(({ node }) => node.id);

describe("the runs of a pack", () => {
  it("are the accepted ones, as the list of runs has them, walked from both ends with its total", async () => {
    const list = await app.inject({ url: `/v1/runs?first=100&packId=${packs[0]}&fields=review` });
    const expected = list.json<{ items: { id: string }[] }>().items.map(({ id }) => id);
    const all = await runsOf("first: 100");
    expect([ids(all), all.totalCount]).toEqual([expected, REPEATS + 1]);
    expect(expected).not.toContain(pending);
    const first = await runsOf("first: 3");
    expect([ids(first), first.pageInfo]).toMatchObject([expected.slice(0, 3), { hasNextPage: true }]);
    const next = await runsOf(`first: 3, after: "${first.pageInfo.endCursor}"`);
    expect([ids(next), next.totalCount]).toEqual([expected.slice(3, 6), REPEATS + 1]);
    const last = await runsOf("last: 2");
    expect([ids(last), last.pageInfo]).toMatchObject([expected.slice(-2), { hasPreviousPage: true }]);
    const rest = await app.inject({
      url: `/v1/runs?packId=${packs[0]}&fields=review&after=${first.pageInfo.endCursor}`,
    });
    expect(rest.json<{ items: { id: string }[] }>().items.map(({ id }) => id)).toEqual(expected.slice(3));
  });

  it("refuse a cursor of another pack's, which leaves the rest of the answer", async () => {
    const { endCursor } = (await runsOf("first: 1")).pageInfo;
    const { body } = await app.graphql(
      `{ pack(id: "${packs[1]}") { name runs(after: "${endCursor}") { totalCount } } }`,
    );
    expect(body.data).toEqual({ pack: { name: "Ridge", runs: null } });
    expect(body.errors?.[0]?.extensions.code).toBe("invalid-cursor");
  });
});

it("shows a pack's public specimens, and its standings as the list of them does", async () => {
  const { body } = await app.graphql(
    `{ pack(id: "${packs[0]}") { specimens { totalCount edges { node { label } } }
      standings(first: 5, figure: "power-10s") { totalCount edges { node { load place value } } } } }`,
  );
  const { specimens, standings } = (body.data as { pack: Record<string, Connection> }).pack;
  expect(specimens).toEqual({ totalCount: 1, edges: [{ node: { label: "Sprint no. 1" } }] });
  const list = await app.inject({ url: `/v1/packs/${packs[0]}/standings?first=100&figure=power-10s` });
  const { items } = list.json<{ items: object[] }>();
  expect(standings?.totalCount).toBe(items.length);
  expect(items.slice(0, 5)).toMatchObject(standings?.edges.map(({ node }) => node) ?? []);
});

it("shows the accepted runs of the tester of a run", async () => {
  const { body } = await app.graphql(
    `{ runs(packId: "${packs[1]}") { edges { node { tester { id runs { totalCount edges { node { pack { name } } } } } } } } }`,
  );
  const found = (body.data as { runs: Connection }).runs.edges.map(({ node }) => node.tester);
  expect(found).toEqual([{ id: testers[1], runs: { totalCount: 1, edges: [{ node: { pack: { name: "Ridge" } } }] } }]);
});

it("reads the lists of many parents with as many statements as those of one", async () => {
  const inner = `runs(first: 2) { totalCount edges { node { id verdict } } }
    specimens(first: 2) { totalCount edges { node { label } } }
    standings(first: 2) { totalCount edges { node { place } } }`;
  const of = (first: number) => read(`{ packs(first: ${first}) { edges { node { name ${inner} } } } }`);
  const [one, both] = [await of(1), await of(2)];
  expect((both.data.packs as Connection).edges).toHaveLength(2);
  // The packs, and three lists each.
  expect(one.statements).toBeGreaterThan(3);
  expect(both.statements).toBe(one.statements);
  const tester = "tester { runs(first: 2) { totalCount edges { node { id } } } }";
  const testersOf = (first: number) => read(`{ runs(first: ${first}) { edges { node { id ${tester} } } } }`);
  // Newest first: the last of them is another tester's than the first.
  const [few, many] = [await testersOf(1), await testersOf(REPEATS + 2)];
  expect((many.data.runs as Connection).edges).toHaveLength(REPEATS + 2);
  expect(many.statements).toBe(few.statements);
});

it("counts what is asked for of them: pages of pages are refused where they are too large", async () => {
  const { body } = await app.graphql(
    "{ packs(first: 100) { edges { node { runs(first: 100) { edges { node { id verdict } } } } } } }",
  );
  expect(body.errors?.[0]?.extensions.code).toBe("query-too-expensive");
});
