import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { ReviewsService } from "../../src/features/reviews/reviews.service.js";
import { verifyChain } from "../../src/platform/audit-log/verify.js";
import type { Caller } from "../../src/platform/auth/account.js";
import { startTestApp, type TestApp } from "../support/app.js";
import { untilScored } from "../support/until-scored.js";
import { uploadCase } from "../support/uploads.js";

type Headers = { authorization: string };
type Method = "GET" | "POST" | "PUT" | "DELETE";

let app: TestApp;
let tester: Headers;
let mona: Headers;
let milo: Headers;
beforeAll(async () => {
  app = await startTestApp();
  tester = await app.signIn("tilda");
  mona = await app.signIn("mona", "moderator");
  milo = await app.signIn("milo", "moderator");
});
afterAll(() => app.close());

const ask = (method: Method, url: string, headers: Headers, payload?: object) =>
  app.inject({ method, url, headers, ...(payload ? { payload } : {}) });
const decide = (runId: string, decision: string, headers = mona) =>
  ask("POST", `/v1/runs/${runId}/reviews`, headers, { decision, rules: [], note: `To ${decision} it.` });
const reviewOf = async (runId: string, headers = tester) =>
  (await ask("GET", `/v1/runs/${runId}`, headers)).json<{ review: string }>().review;
const upload = async (pack: string, log: string, headers = tester) =>
  (await uploadCase(app, headers, pack, log)).body.id;

describe("two people", () => {
  it("talk about a run: the moderator asks, the tester answers, and the run waits again", async () => {
    const id = await upload("Asked", "truth-4s-10hz");
    expect((await ask("POST", `/v1/runs/${id}/answers`, tester, { note: "Nobody asked." })).statusCode).toBe(409);
    await decide(id, "request-info");
    expect((await ask("POST", `/v1/runs/${id}/answers`, mona, { note: "For the tester." })).statusCode).toBe(403);
    const answer = await ask("POST", `/v1/runs/${id}/answers`, tester, { note: "The rest was half an hour." });
    expect([answer.statusCode, answer.json<{ review: string }>().review]).toEqual([200, "pending"]);
    const { items } = (await ask("GET", `/v1/runs/${id}/history`, tester)).json<{
      items: { event: string; reason: string | null }[];
    }>();
    expect(items.map(({ event }) => event)).toEqual(["upload", "start", "finish", "request-info", "answer"]);
    expect(items.at(-1)?.reason).toBe("The rest was half an hour.");
    await decide(id, "accept");
    const stranger = await app.signIn("stranger");
    expect((await ask("GET", `/v1/runs/${id}/history`, stranger)).statusCode).toBe(404);
  });

  it("settle a question by another run: the old one is withdrawn, and the moderator sees both", async () => {
    const answer = (id: string, replacedBy: string, headers = tester) =>
      ask("POST", `/v1/runs/${id}/answers`, headers, { note: "Measured anew.", replacedBy });
    const [old, others] = [await upload("Replaced", "spikes"), await upload("Another Pack", "starts-loaded")];
    const replacement = await upload("Replaced", "log-ends-loaded");
    expect((await answer(old, replacement)).json()).toMatchObject({ type: "/problems/decision-not-possible" });
    await decide(old, "request-info");
    for (const wrong of [others, old, "no-such-run"]) {
      expect((await answer(old, wrong)).json()).toMatchObject({ status: 422, errors: [{ pointer: "/replacedBy" }] });
    }
    expect((await answer(old, replacement, mona)).statusCode).toBe(403);
    expect((await answer(old, replacement)).json()).toMatchObject({ id: old, review: "withdrawn" });
    expect((await answer(old, replacement)).statusCode).toBe(409);
    const evidence = async (id: string) => (await ask("GET", `/v1/reviews/${id}/evidence/full`, mona)).json();
    expect(await evidence(replacement)).toMatchObject({
      run: { review: "pending" },
      replaces: [{ id: old, review: "withdrawn", conformance: { verdict: expect.any(String) } }],
      history: { items: [{}, {}, {}, { event: "stand-in", reason: `In place of run ${old}.` }] },
    });
    expect(await evidence(old)).toMatchObject({ replacement: { id: replacement } });
    const { items } = (await ask("GET", `/v1/runs/${old}/history`, tester)).json<{ items: object[] }>();
    expect(items.at(-1)).toMatchObject({ event: "replace", to: "processed/withdrawn", reason: "Measured anew." });
    await ask("DELETE", `/v1/runs/${replacement}`, tester);
  });

  it("disagree once: an appeal is heard by another moderator, and there is no second one", async () => {
    const id = await upload("Appealed", "plain-20hz");
    await decide(id, "reject");
    const appeal = () => ask("POST", `/v1/runs/${id}/appeals`, tester, { note: "Nothing failed." });
    expect((await appeal()).json()).toMatchObject({ review: "pending" });
    expect((await decide(id, "reject")).statusCode).toBe(403);
    expect((await decide(id, "reject", milo)).statusCode).toBe(201);
    expect((await appeal()).json()).toMatchObject({ type: "/problems/decision-not-possible" });
  });
});

describe("a moderator", () => {
  it("takes a run for a while, in which others leave it alone", async () => {
    const id = await upload("Claimed", "lead-awg12");
    expect((await ask("PUT", `/v1/reviews/${id}/claim`, mona)).json()).toMatchObject({ moderator: { handle: "mona" } });
    expect((await ask("PUT", `/v1/reviews/${id}/claim`, milo)).json()).toMatchObject({
      type: "/problems/claimed-by-another",
    });
    expect((await decide(id, "accept", milo)).statusCode).toBe(409);
    await app.database.reviewClaim.updateMany({ data: { until: new Date(0) } });
    expect((await ask("PUT", `/v1/reviews/${id}/claim`, milo)).statusCode).toBe(200);
    expect((await ask("DELETE", `/v1/reviews/${id}/claim`, milo)).statusCode).toBe(204);
    expect((await decide(id, "accept")).statusCode).toBe(201);
  });

  it("takes the last own decision back to where the run stood, for a while", async () => {
    const id = await upload("Undone", "current-offset");
    const accepted = (await decide(id, "accept")).json<{ id: string }>();
    const rejected = (await decide(id, "reject")).json<{ id: string }>();
    const undo = (review: { id: string }, headers = mona) => ask("DELETE", `/v1/reviews/${review.id}`, headers);
    expect((await undo(rejected, milo)).statusCode).toBe(404);
    expect((await undo(accepted)).statusCode).toBe(409);
    expect((await undo(rejected)).statusCode).toBe(204);
    expect(await reviewOf(id)).toBe("accepted");
    expect((await undo(rejected)).statusCode).toBe(409);
    const again = (await decide(id, "reject")).json<{ id: string }>();
    await app.database.$transaction(async (tx) => {
      await tx.$executeRawUnsafe("SET LOCAL session_replication_role = replica");
      await tx.review.updateMany({ where: { id: again.id }, data: { createdAt: new Date(Date.now() - 16 * 60_000) } });
    });
    expect((await undo(again)).statusCode).toBe(409);
  });

  it("sees the riskiest first and every piece of evidence in one request", async () => {
    const newcomer = await app.signIn("newcomer");
    const calm = await upload("Asked", "spin-up-before");
    const copy = await upload("Copied", "truth-4s-10hz", newcomer);
    await untilScored(app);
    const { items } = (await ask("GET", "/v1/reviews", mona)).json<{
      items: { id: string; risk: { score: number; copied: boolean; newTester: boolean } }[];
    }>();
    const scores = items.map(({ risk }) => risk.score);
    expect(scores).toEqual([...scores].sort((a, b) => b - a));
    const places = [copy, calm].map((id) => items.findIndex((item) => item.id === id));
    expect(places[0]).toBeLessThan(places[1] ?? -1);
    expect(items[places[0] ?? -1]?.risk).toMatchObject({ copied: true, newTester: true });
    const paged: string[] = [];
    let after = "";
    for (let i = 0; i < items.length; i++) {
      const page = (await ask("GET", `/v1/reviews?first=1${after}`, mona)).json<{
        items: { id: string }[];
        pageInfo: { endCursor: string };
      }>();
      paged.push(...page.items.map(({ id }) => id));
      after = `&after=${page.pageInfo.endCursor}`;
    }
    expect(paged).toEqual(items.map(({ id }) => id));
    const evidence = (await ask("GET", `/v1/reviews/${copy}/evidence/full`, mona)).json();
    expect(evidence).toMatchObject({
      run: { id: copy, conformance: { verdict: expect.any(String) } },
      trace: `/v1/runs/${copy}/trace`,
      sameLog: [{ pack: { name: "Asked" } }],
      tester: { accepted: 0, undecided: 1 },
      youCompete: false,
      claim: null,
      history: { items: [{ event: "upload" }, { event: "start" }, { event: "finish" }] },
    });
    const graphql = await app.graphql(
      "query($id: ID!) { evidence(runId: $id) { risk { score } effects { figure } } }",
      {
        variables: { id: copy },
        headers: mona,
      },
    );
    expect(graphql.body.errors).toBeUndefined();
    expect((await ask("GET", `/v1/reviews/${copy}/evidence/full`, tester)).statusCode).toBe(403);
  });

  it("decides on several runs with one reason, each on its own", async () => {
    const ids = [await upload("Many", "short-dip"), await upload("Many", "lead-declared")];
    const payload = { runIds: [...ids, "no-such-run"], decision: "request-info", rules: [], note: "Which charger?" };
    const { items } = (await ask("POST", "/v1/reviews", mona, payload)).json<{
      items: { review: object | null; problem: { status: number } | null }[];
    }>();
    expect(items.map(({ review, problem }) => (review ? "info-requested" : problem?.status))).toEqual([
      "info-requested",
      "info-requested",
      404,
    ]);
    expect(await reviewOf(ids[1] ?? "")).toBe("info-requested");
    const { body } = await app.graphql(
      "mutation($input: ManyReviewsInput!) { reviewRuns(input: $input) { items { runId review { review } problem } } }",
      { variables: { input: { ...payload, decision: "REJECT" } }, headers: mona },
    );
    expect(body.data).toMatchObject({
      reviewRuns: {
        items: [
          { runId: ids[0], review: { review: "REJECTED" }, problem: null },
          { runId: ids[1], review: { review: "REJECTED" } },
          { review: null, problem: { status: 404, type: "/problems/not-found" } },
        ],
      },
    });
  });

  it("is answered in time also where the first decisions take too long: what is left is to be sent again", async () => {
    const ids = [await upload("Slow", "short-dip"), await upload("Slow", "lead-declared")];
    const { id } = await app.database.account.findFirstOrThrow({ where: { handle: "mona" } });
    const caller: Caller = {
      id,
      handle: "mona",
      role: "moderator",
      scopes: null,
      credentialId: id,
      isSuspended: false,
    };
    const input = { runIds: ids, decision: "request-info" as const, rules: [], note: "Which charger?" };
    const outcomes = await app.nest.get(ReviewsService).decideMany(input, caller, "a request", 0);
    expect(outcomes.map(({ problem }) => (problem as { code: string } | null)?.code ?? "decided")).toEqual([
      "decided",
      "too-busy",
    ]);
    expect(await reviewOf(ids[1] ?? "")).toBe("pending");
  });
});

it("leaves a record of all of it that holds", async () => {
  expect(await verifyChain(app.database)).toMatchObject({ broken: null });
});
