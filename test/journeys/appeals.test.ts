import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { startTestApp, type TestApp } from "../support/app.js";
import { uploadCase } from "../support/uploads.js";

type Headers = { authorization: string };

let app: TestApp;
let tester: Headers;
let mona: Headers;
beforeAll(async () => {
  app = await startTestApp();
  tester = await app.signIn("tilda");
  mona = await app.signIn("mona", "moderator");
});
afterAll(() => app.close());

const ask = (method: "GET" | "POST", url: string, headers: Headers, payload?: object) =>
  app.inject({ method, url, headers, ...(payload ? { payload } : {}) });
const decide = (runId: string, decision: string, headers = mona) =>
  ask("POST", `/v1/runs/${runId}/reviews`, headers, { decision, rules: [], note: "Looked at." });
const appealOf = async (runId: string, headers = tester) =>
  (await ask("GET", `/v1/runs/${runId}/appeal`, headers)).json<{ appeal: object | null }>().appeal;
const setRole = (handle: string, role: string) =>
  app.database.account.updateMany({ where: { handle }, data: { role } });

async function appealed(pack: string, log: string): Promise<string> {
  const { body } = await uploadCase(app, tester, pack, log);
  await decide(body.id, "reject");
  expect(await appealOf(body.id)).toBeNull();
  const answer = await ask("POST", `/v1/runs/${body.id}/appeals`, tester, { note: "Nothing failed." });
  expect(answer.json()).toMatchObject({ review: "pending" });
  return body.id;
}

describe("an appeal where there is one moderator", () => {
  it("waits and says so, and is decided by an administrator once there is one", async () => {
    const id = await appealed("Alone", "truth-4s-10hz");
    expect(await appealOf(id)).toMatchObject({
      runId: id,
      note: "Nothing failed.",
      rejectedBy: { handle: "mona" },
      waitsFor: "nobody",
      message: expect.stringContaining("waits"),
    });
    for (const decision of ["accept", "reject", "request-info"]) {
      expect((await decide(id, decision)).json()).toMatchObject({
        status: 403,
        detail: expect.stringContaining("waits"),
      });
    }
    const { items } = (await ask("GET", "/v1/reviews", mona)).json<{ items: { id: string }[] }>();
    expect(items.find((item) => item.id === id)).toMatchObject({ appeal: { waitsFor: "nobody" } });
    const ada = await app.signIn("ada", "administrator");
    expect(await appealOf(id, mona)).toMatchObject({ waitsFor: "administrator" });
    const { body } = await app.graphql("query($id: ID!) { appeal(runId: $id) { waitsFor rejectedBy { handle } } }", {
      variables: { id },
      headers: tester,
    });
    expect(body.data).toEqual({ appeal: { waitsFor: "ADMINISTRATOR", rejectedBy: { handle: "mona" } } });
    expect((await decide(id, "accept", ada)).json()).toMatchObject({ effective: true, review: "accepted" });
    expect(await appealOf(id)).toBeNull();
  });

  it("is told to administrators, who else would not look", async () => {
    const id = await appealed("Told", "plain-20hz");
    const ada = await app.signIn("ada", "administrator");
    const { items } = (await ask("GET", "/v1/notices", ada)).json<{ items: { kind: string; subject: object }[] }>();
    expect(items.map(({ kind, subject }) => [kind, subject])).toEqual([
      ["appeal-waits", { kind: "run", id, href: `/v1/runs/${id}` }],
    ]);
    await decide(id, "reject", ada);
    await setRole("ada", "tester");
  });

  it("stays with others after a question was answered and after somebody proposed a decision", async () => {
    const id = await appealed("Twice", "current-offset");
    const milo = await app.signIn("milo", "moderator");
    expect(await appealOf(id)).toMatchObject({ waitsFor: "moderator" });
    expect((await decide(id, "request-info", milo)).statusCode).toBe(201);
    await ask("POST", `/v1/runs/${id}/answers`, tester, { note: "Half an hour." });
    expect((await decide(id, "reject")).statusCode).toBe(403);
    const competing = await app.signIn("competing", "moderator");
    await uploadCase(app, competing, "Competing", "jitter-25hz");
    expect((await decide(id, "reject", competing)).json()).toMatchObject({ effective: false });
    expect((await decide(id, "reject")).statusCode).toBe(403);
    expect((await decide(id, "accept", milo)).json()).toMatchObject({ effective: true });
  });

  it("is shown to nobody who may not see the run", async () => {
    const id = await appealed("Private", "lead-awg12");
    const stranger = await app.signIn("stranger");
    expect((await ask("GET", `/v1/runs/${id}/appeal`, stranger)).statusCode).toBe(404);
  });
});
