import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import type { NoticeEventView, NoticeList, NoticeView } from "../../src/features/notices/notices.views.js";
import type { RunView } from "../../src/features/runs/runs.views.js";
import { startTestApp, type TestApp } from "../support/app.js";
import { openGraphqlSocket } from "../support/graphql-socket.js";
import { inRestWords } from "../support/graphql-words.js";
import { serverSentEvents } from "../support/server-sent-events.js";
import { uploadCase } from "../support/uploads.js";

type Headers = { authorization: string };
type Method = "GET" | "POST" | "PATCH" | "DELETE";

let app: TestApp;
let tilda: Headers;
let mona: Headers;
let bert: Headers;
let runId: string;
beforeAll(async () => {
  app = await startTestApp();
  tilda = await app.signIn("tilda");
  bert = await app.signIn("bert");
  mona = await app.signIn("mona", "moderator");
  runId = (await uploadCase(app, tilda, "Sprint", "truth-4s-10hz")).body.id;
});
afterAll(() => app.close());

const ask = (method: Method, url: string, headers: Headers, payload?: object) =>
  app.inject({ method, url, headers, ...(payload ? { payload } : {}) });

const notices = async (headers: Headers, query = "") =>
  (await ask("GET", `/v1/notices${query}`, headers)).json<NoticeList>();

const run = async (headers: Headers = tilda) => (await ask("GET", `/v1/runs/${runId}`, headers)).json<RunView>();

async function decide(decision: string, note: string, rules: readonly string[] = []): Promise<string> {
  const answer = await ask("POST", `/v1/runs/${runId}/reviews`, mona, { decision, rules, note });
  expect(answer.statusCode).toBe(201);
  return answer.json<{ id: string }>().id;
}

const listen = (headers: Headers, more: Record<string, string> = {}, query = "") =>
  fetch(`${app.url}/v1/notices/events${query}`, { headers: { ...headers, ...more } });

describe("a tester of whose run a moderator asks", () => {
  it("is told at once, in a list, by server-sent events and by a subscription", async () => {
    const response = await listen(tilda);
    expect(response.headers.get("content-type")).toBe("text/event-stream; charset=utf-8");
    const events = serverSentEvents<NoticeEventView>(response);
    expect((await events.next()).value).toMatchObject({ data: { unreadCount: 0, notice: null } });
    const socket = await openGraphqlSocket(app.url, tilda);
    const subscription = socket.subscribe(
      "subscription { noticeAdded { unreadCount notice { kind subject { kind id } } } }",
      {},
    );
    expect((await subscription.next()).value).toEqual({ data: { noticeAdded: { unreadCount: 0, notice: null } } });

    await decide("request-info", "Which charger, and how long did it rest?", ["sampling-rate"]);

    const { items, unreadCount } = await notices(tilda);
    expect(unreadCount).toBe(1);
    expect(items).toEqual([
      {
        id: expect.any(String),
        kind: "question",
        title: "A moderator has a question about your run",
        text: expect.stringContaining("Rules: sampling-rate."),
        reason: "Which charger, and how long did it rest?",
        subject: { kind: "run", id: runId, href: `/v1/runs/${runId}` },
        createdAt: expect.any(String),
        readAt: null,
      },
    ]);
    const heard = (await events.next()).value;
    expect(heard).toEqual({ id: items[0]?.id, data: { unreadCount: 1, notice: items[0] } });
    expect(inRestWords((await subscription.next()).value)).toEqual({
      data: { noticeAdded: { unreadCount: 1, notice: { kind: "question", subject: { kind: "run", id: runId } } } },
    });
    await events.return(undefined);
    socket.close();
  });

  it("sees the question in the run, as its moderators do, until it is answered", async () => {
    const question = {
      askedBy: "moderator",
      note: "Which charger, and how long did it rest?",
      rules: ["sampling-rate"],
      since: expect.any(String),
      howToAnswer: expect.stringContaining(`POST /v1/runs/${runId}/answers`),
    };
    for (const headers of [tilda, mona]) expect((await run(headers)).question).toEqual(question);
    const mine = await ask("GET", "/v1/runs?mine=true&fields=question", tilda);
    expect(mine.json<{ items: unknown[] }>().items).toEqual([{ id: runId, question }]);
    const { body } = await app.graphql(`{ run(id: "${runId}") { question { askedBy note rules } } }`, {
      headers: tilda,
    });
    expect(inRestWords(body.data)).toMatchObject({ run: { question: { askedBy: "moderator", note: question.note } } });
    for (const headers of [bert, {}])
      expect((await ask("GET", `/v1/runs/${runId}`, headers as Headers)).statusCode).toBe(404);

    expect((await ask("POST", `/v1/runs/${runId}/answers`, tilda, { note: "Half an hour." })).statusCode).toBe(200);
    expect((await run()).question).toBeNull();
  });

  it("no longer sees the text of a question that was erased, nor by an old tag", async () => {
    await decide("request-info", "Call Zoe.");
    const before = await ask("GET", `/v1/runs/${runId}`, tilda);
    expect(before.body).toContain("Call Zoe.");
    const ada = await app.signIn("ada", "administrator");
    const history = (await ask("GET", `/v1/runs/${runId}/history`, ada)).json<{
      items: { position: number; reason: string | null }[];
    }>();
    const position = history.items.find(({ reason }) => reason === "Call Zoe.")?.position;
    expect((await ask("DELETE", `/v1/runs/${runId}/history/${position}/reason`, ada)).statusCode).toBe(204);
    const after = await app.inject({
      url: `/v1/runs/${runId}`,
      headers: { ...tilda, "if-none-match": String(before.headers.etag) },
    });
    expect(after.json<RunView>().question).toMatchObject({ note: null, rules: [] });
    expect((await notices(tilda)).items.map(({ text, reason }) => [text, reason]).join()).not.toContain("Zoe");
  });

  it("is told of each decision, and of one that is taken back, and nobody else is", async () => {
    const reviewId = await decide("reject", "The log has gaps.", ["sampling-rate"]);
    expect((await ask("DELETE", `/v1/reviews/${reviewId}`, mona)).statusCode).toBe(204);
    expect((await ask("POST", `/v1/runs/${runId}/answers`, tilda, { note: "It has none." })).statusCode).toBe(200);
    await decide("accept", "Looks right.");
    const { items } = await notices(tilda);
    expect(items.map(({ kind }) => kind)).toEqual([
      "run-accepted",
      "decision-undone",
      "run-rejected",
      "question",
      "question",
    ]);
    expect(items[1]?.text).toBe("The run was rejected, and is info-requested again.");
    for (const headers of [mona, bert]) expect(await notices(headers)).toMatchObject({ items: [], unreadCount: 0 });
    for (const headers of [tilda, bert, {}]) {
      const seen = await ask("GET", `/v1/runs/${runId}`, headers as Headers);
      expect(seen.json<RunView>().question).toBeNull();
    }
  });
});

describe("a notice", () => {
  it("is marked as read and as unread by its owner alone", async () => {
    const [first] = (await notices(tilda)).items as [NoticeView];
    const mark = (headers: Headers, read: unknown, id = first.id) =>
      ask("PATCH", `/v1/notices/${id}`, headers, { read });
    expect((await mark(bert, true)).statusCode).toBe(404);
    expect((await mark(tilda, "yes")).statusCode).toBe(422);
    expect((await notices(tilda)).unreadCount).toBe(5);
    const { readAt } = (await mark(tilda, true)).json<NoticeView>();
    expect(readAt).not.toBeNull();
    expect((await mark(tilda, true)).json<NoticeView>().readAt).toBe(readAt);
    expect((await notices(tilda)).unreadCount).toBe(4);
    expect((await notices(tilda, "?unread=false")).items.map(({ id }) => id)).toEqual([first.id]);
    expect((await mark(tilda, false)).json<NoticeView>().readAt).toBeNull();
  });

  it("is one of a list by cursors and filters, in both APIs", async () => {
    const page = await notices(tilda, "?first=2");
    const next = await notices(tilda, `?first=2&after=${page.pageInfo.endCursor}`);
    const all = (await notices(tilda)).items.map(({ id }) => id);
    expect([...page.items, ...next.items].map(({ id }) => id)).toEqual(all.slice(0, 4));
    expect((await notices(tilda, "?kind=question")).items).toHaveLength(2);
    const foreign = await ask("GET", `/v1/notices?after=${page.pageInfo.endCursor}`, bert);
    expect(foreign.json()).toMatchObject({ type: "/problems/invalid-cursor" });
    const { body } = await app.graphql(
      "{ notices(first: 2, kind: QUESTION) { totalCount edges { node { id } } } unreadNotices }",
      { headers: tilda },
    );
    expect(body.data).toMatchObject({ notices: { totalCount: 2 }, unreadNotices: 5 });
  });

  it("is told again to a client that lost its connection, by the id of the last one that it saw", async () => {
    const all = (await notices(tilda)).items.map(({ id }) => id).reverse();
    const seen: (string | undefined)[] = [];
    const response = await listen(tilda, { "last-event-id": all[1] ?? "" }, "?seconds=0");
    for await (const { id } of serverSentEvents<NoticeEventView>(response)) seen.push(id);
    expect(seen).toEqual([undefined, ...all.slice(2)]);
  });

  it("is read with all others at once, those named alone where some are", async () => {
    const [first] = (await notices(tilda)).items as [NoticeView];
    const read = (payload: object, headers = tilda) => ask("POST", "/v1/notices/read", headers, payload);
    expect((await read({ ids: [first.id] }, bert)).json()).toEqual({ unreadCount: 0 });
    expect((await read({ ids: [first.id] })).json()).toEqual({ unreadCount: 4 });
    const { body } = await app.graphql("mutation { readNotices(input: {}) { unreadCount } }", { headers: tilda });
    expect(body.data).toEqual({ readNotices: { unreadCount: 0 } });
  });

  it("stays unwritten when what it tells of is undone, and goes with its account", async () => {
    const before = await app.database.notice.count();
    const refused = await ask("POST", `/v1/runs/${runId}/reviews`, mona, {
      decision: "accept",
      rules: [],
      note: "Again.",
    });
    expect(refused.statusCode).toBe(409);
    expect(await app.database.notice.count()).toBe(before);
    const password = "correct horse battery";
    expect((await ask("POST", "/v1/accounts/me/erasure", tilda, { password })).statusCode).toBe(200);
    expect(await app.database.notice.count()).toBe(0);
    await decide("reject", "Its tester has gone.");
    expect(await app.database.notice.count()).toBe(0);
  });
});

it("listeners of one account are bounded, and one that went away makes room", async () => {
  const going = new AbortController();
  const open = () => fetch(`${app.url}/v1/notices/events`, { headers: bert, signal: going.signal });
  const first = await Promise.all(Array.from({ length: 8 }, open));
  await Promise.all(first.map((response) => serverSentEvents(response).next()));
  const refused = await listen(bert);
  expect([refused.status, await refused.json()]).toMatchObject([503, { type: "/problems/too-many-listeners" }]);
  going.abort();
  let status = 503;
  while (status === 503) {
    const response = await listen(bert, {}, "?seconds=0");
    ({ status } = response);
    await response.text();
  }
  expect(status).toBe(200);
});
