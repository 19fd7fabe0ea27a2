import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import type { NestFastifyApplication } from "@nestjs/platform-fastify";
import { startApp } from "../../src/create-app.js";
import { noticesOf } from "../../src/features/notices/notice-writer.service.js";
import type { NoticeEventView } from "../../src/features/notices/notices.views.js";
import { readConfig } from "../../src/platform/config/config.js";
import { Notifications } from "../../src/platform/notifications/notifications.js";
import { startTestApp, type TestApp } from "../support/app.js";
import { openGraphqlSocket } from "../support/graphql-socket.js";
import { serverSentEvents } from "../support/server-sent-events.js";
import { uploadCase } from "../support/uploads.js";

type Headers = { authorization: string };
type Method = "POST" | "PUT" | "DELETE";

const password = "correct horse battery";
// PROTOCOL.md of the graphql-ws project: 4403 Forbidden.
const FORBIDDEN = 4403;

let app: TestApp;
let elsewhere: NestFastifyApplication;
// Sessions and keys are ended by another process: an application of its own, on the same database.
beforeAll(async () => {
  app = await startTestApp({ runsJobs: false, waitSeconds: 0 });
  const config = readConfig({ LOG_LEVEL: "silent", DATABASE_CONNECTIONS: "4", RUN_JOBS: "false" });
  elsewhere = await startApp(config, app.database.connectionString);
});
afterAll(async () => {
  await elsewhere.close();
  await app.close();
});

async function ask<T>(method: Method, url: string, headers: Headers, payload?: object): Promise<T> {
  const answer = await elsewhere.inject({ method, url, headers, ...(payload ? { payload } : {}) });
  expect([url, Math.floor(answer.statusCode / 100)]).toEqual([url, 2]);
  return (answer.body === "" ? null : answer.json()) as T;
}

const bearer = (credential: string): Headers => ({ authorization: `Bearer ${credential}` });
const accountOf = async (handle: string) =>
  (await app.database.account.findFirstOrThrow({ where: { handle }, select: { id: true } })).id;
const sessionIds = async (handle: string) =>
  (await app.database.session.findMany({ where: { accountId: await accountOf(handle) }, orderBy: { id: "asc" } })).map(
    ({ id }) => id,
  );

/** All that one can listen to, opened with a session or key; each has told its first event. */
async function listenToAll(headers: Headers, runId: string) {
  const streams = [];
  for (const path of ["/v1/notices/events", `/v1/runs/${runId}/events`]) {
    const events = serverSentEvents<NoticeEventView>(await fetch(`${app.url}${path}`, { headers }));
    await events.next();
    streams.push(events);
  }
  const sockets = [];
  for (const query of [
    "subscription { noticeAdded { unreadCount notice { id } } }",
    `subscription { runProgress(id: "${runId}") { stage } }`,
  ]) {
    const socket = await openGraphqlSocket(app.url, headers);
    const answers = socket.subscribe(query, {});
    await answers.next();
    sockets.push({ ...socket, answers });
  }
  return { streams, sockets };
}

/** Has something to tell to whoever still listens, so that a stream that goes on is heard at once and not waited for. */
async function happen(accountId: string, runId: string): Promise<void> {
  const notifications = app.nest.get(Notifications);
  const data = { kind: "question", accountId, subjectKind: "run", subjectId: runId };
  await app.database.$transaction(async (tx) => {
    await tx.notice.create({ data });
    await notifications.publish(tx, noticesOf(accountId), {});
    await notifications.publish(tx, runId, { stage: "reading", done: 1, total: 2 });
  });
}

async function expectEnd({ streams, sockets }: Awaited<ReturnType<typeof listenToAll>>): Promise<void> {
  for (const events of streams) expect(await events.next()).toEqual({ done: true, value: undefined });
  for (const { answers, closed } of sockets) {
    expect((await answers.next()).value).toMatchObject({ errors: [{ extensions: { code: "invalid-session" } }] });
    expect(await closed).toBe(FORBIDDEN);
  }
}

describe("whatever is listened to ends with the session or key that it was opened with", () => {
  it.each<[string, (handle: string, headers: Headers) => Promise<{ heard: Headers; end: () => Promise<unknown> }>]>([
    [
      "when the session is ended",
      async (handle, headers) => {
        const [id] = await sessionIds(handle);
        const other = await app.signIn(handle);
        return { heard: headers, end: () => ask("DELETE", `/v1/sessions/${id}`, other) };
      },
    ],
    [
      "when the password is changed from another session",
      async (handle, headers) => {
        const other = await app.signIn(handle);
        const change = { password, newPassword: "violet harbour lamp 71" };
        return { heard: headers, end: () => ask("PUT", "/v1/accounts/me/password", other, change) };
      },
    ],
    [
      "when the key is deleted",
      async (_, headers) => {
        const key = await ask<{ id: string; key: string }>("POST", "/v1/keys", headers, {
          label: "k",
          scopes: ["read"],
        });
        return { heard: bearer(key.key), end: () => ask("DELETE", `/v1/keys/${key.id}`, headers) };
      },
    ],
    [
      "when the account is erased",
      async (_, headers) => ({
        heard: headers,
        end: () => ask("POST", "/v1/accounts/me/erasure", headers, { password }),
      }),
    ],
  ])("%s, in another process", async (title, prepare) => {
    const handle = `t${title.length}`;
    const headers = await app.signIn(handle);
    const { id } = (await uploadCase(app, headers, `Sprint ${handle}`, "truth-4s-10hz")).body;
    const { heard, end } = await prepare(handle, headers);
    const open = await listenToAll(heard, id);
    const accountId = await accountOf(handle);
    await end();
    await happen(accountId, id);
    await expectEnd(open);
  });

  it("when the session has expired: nothing that comes after is told", async () => {
    const headers = await app.signIn("zoe");
    const { id } = (await uploadCase(app, headers, "Sprint zoe", "truth-4s-10hz")).body;
    const open = await listenToAll(headers, id);
    await app.database.session.updateMany({
      where: { id: { in: await sessionIds("zoe") } },
      data: { createdAt: new Date(Date.now() - 3_600_000), expiresAt: new Date(Date.now() - 1_000) },
    });
    const mona = await app.signIn("mona", "moderator");
    const worker = await startApp(readConfig({ LOG_LEVEL: "silent" }), app.database.connectionString);
    try {
      while ((await app.database.run.findUniqueOrThrow({ where: { id } })).state !== "processed") {
        await new Promise((resolve) => setTimeout(resolve, 100));
      }
      const decision = { decision: "request-info", rules: [], note: "Which charger?" };
      await ask("POST", `/v1/runs/${id}/reviews`, mona, decision);
      await expectEnd(open);
    } finally {
      await worker.close();
    }
  });

  it("and other sessions of the account go on", async () => {
    await app.signIn("yuri");
    const other = await app.signIn("yuri");
    const going = new AbortController();
    const response = await fetch(`${app.url}/v1/notices/events`, { headers: other, signal: going.signal });
    const events = serverSentEvents<NoticeEventView>(response);
    await events.next();
    const [first] = await sessionIds("yuri");
    await ask("DELETE", `/v1/sessions/${first}`, other);
    const ended = events.next().then(
      () => "told",
      () => "left",
    );
    expect(await Promise.race([ended, new Promise((resolve) => setTimeout(resolve, 1_000, "open"))])).toBe("open");
    going.abort();
  });
});
