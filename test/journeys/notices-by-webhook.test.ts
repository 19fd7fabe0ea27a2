import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from "@jest/globals";
import { WebhookVerificationError } from "standardwebhooks";
import type { NoticeList } from "../../src/features/notices/notices.views.js";
import type { NewWebhookView, WebhookView } from "../../src/features/webhooks/webhooks.views.js";
import { CONFIG } from "../../src/platform/config/config.js";
import type { TestApp } from "../support/app.js";
import {
  type Received,
  startWebhookReceiver,
  until,
  verified,
  type WebhookReceiver,
} from "../support/webhook-receiver.js";
import { type Headers, WEBHOOK_SETTINGS, WebhookTest } from "../support/webhook-test.js";

let webhooks: WebhookTest;
let app: TestApp;
let tilda: Headers;
let mona: Headers;
let runId: string;
let receiver: WebhookReceiver;
beforeAll(async () => {
  webhooks = await WebhookTest.start();
  ({ app, tilda, mona, runId } = webhooks);
});
afterAll(() => app.close());
beforeEach(async () => {
  receiver = await webhooks.begin();
});
afterEach(() => webhooks.end());

const ask: WebhookTest["ask"] = (...asked) => webhooks.ask(...asked);
const make: WebhookTest["make"] = (...made) => webhooks.make(...made);
const askAndAnswer = () => webhooks.askAndAnswer();
const failures = (id: string) => webhooks.failures(id);
const hook = async (id: string) => (await ask("GET", `/v1/webhooks/${id}`, tilda)).json<WebhookView>();

describe("a webhook", () => {
  it("is sent a question and a decision, signed as the library of Standard Webhooks verifies it", async () => {
    const { secret } = await make();
    await askAndAnswer();
    await receiver.until(1);
    const first = receiver.received[0] as Received;
    const message = verified(first, secret);
    expect(message).toMatchObject({
      type: "notice.question",
      data: { kind: "question", subject: { kind: "run", id: runId, href: `/v1/runs/${runId}` } },
    });
    const [notice] = (await ask("GET", "/v1/notices", tilda)).json<NoticeList>().items;
    expect(message.data).toEqual(notice);
    expect(message.timestamp).toBe(notice?.createdAt);
    expect(first.headers["content-type"]).toBe("application/json");
    for (const changed of [
      { ...first, body: first.body.replace("question", "accepted") },
      { ...first, headers: { ...first.headers, "webhook-id": "another" } },
      { ...first, headers: { ...first.headers, "webhook-timestamp": String(Math.floor(Date.now() / 1000) - 60) } },
    ])
      expect(() => verified(changed, secret)).toThrow(WebhookVerificationError);
    expect(() => verified(first, `whsec_${Buffer.alloc(32, 7).toString("base64")}`)).toThrow(WebhookVerificationError);
    expect(secret).toMatch(/^whsec_[A-Za-z0-9+/]{43}=$/);
  });

  it("is sent only the kinds that it takes, and nothing of others' runs", async () => {
    const decisions = await make({ kinds: ["run-rejected"] });
    const strangers = await app.signIn("stranger");
    const other = await startWebhookReceiver();
    await make({ url: other.url }, strangers);
    await askAndAnswer();
    const decision = { decision: "reject", rules: [], note: "Gaps." };
    const { id } = (await ask("POST", `/v1/runs/${runId}/reviews`, mona, decision)).json<{ id: string }>();
    await receiver.until(1);
    await ask("DELETE", `/v1/reviews/${id}`, mona);
    expect(receiver.received.map((one) => verified(one, decisions.secret).type)).toEqual(["notice.run-rejected"]);
    expect(other.received).toEqual([]);
    await other.close();
  });

  it("is tried again with the same id until it takes the message", async () => {
    const { id, secret } = await make();
    receiver.answer((_, response) => void response.writeHead(receiver.received.length < 3 ? 503 : 200).end());
    await askAndAnswer();
    await receiver.until(3);
    const ids = receiver.received.slice(0, 3).map(({ headers }) => headers["webhook-id"]);
    expect(new Set(ids).size).toBe(1);
    verified(receiver.received[2] as Received, secret);
    await until(
      () => hook(id),
      ({ failures }) => failures === 0,
    );
    expect(await app.database.webhookDelivery.count()).toBe(0);
  });

  it("has a list of what it did not take, from which each message is sent again", async () => {
    const { id, secret } = await make();
    receiver.answer(500);
    await askAndAnswer();
    const [failure] = await until(
      () => failures(id),
      ({ length }) => length > 0,
    );
    expect(failure).toMatchObject({ type: "notice.question", attempts: 3, fault: "answered 500" });
    expect(receiver.received).toHaveLength(3);
    expect(receiver.received[0]?.body).toBe(failure?.body);
    receiver.answer(204);
    const resend = `/v1/webhooks/${id}/failures/${failure?.id}/resend`;
    expect((await ask("POST", resend, await app.signIn("thief"))).statusCode).toBe(404);
    expect((await ask("POST", resend, tilda)).statusCode).toBe(204);
    await receiver.until(4);
    expect(receiver.received[3]?.headers["webhook-id"]).toBe(failure?.id);
    verified(receiver.received[3] as Received, secret);
    expect(await failures(id)).toEqual([]);
    expect((await ask("POST", resend, tilda)).statusCode).toBe(404);
  });

  it("is disabled when it fails again and again, its owner is told, and enables it again", async () => {
    const { id } = await make();
    receiver.answer(500);
    for (let message = 0; message < 3; message++) {
      await askAndAnswer();
      await until(
        () => failures(id),
        ({ length }) => length > message,
      );
    }
    const disabled = await hook(id);
    expect(disabled.disabledAt).not.toBeNull();
    expect(disabled.failures).toBe(9);
    const [notice] = (await ask("GET", "/v1/notices", tilda)).json<NoticeList>().items;
    expect(notice).toMatchObject({
      kind: "webhook-disabled",
      text: expect.stringContaining("answered 500"),
      subject: { kind: "webhook", id, href: `/v1/webhooks/${id}` },
    });
    await askAndAnswer();
    expect(receiver.received).toHaveLength(9);
    const [failure] = await failures(id);
    const resend = () => ask("POST", `/v1/webhooks/${id}/failures/${failure?.id}/resend`, tilda);
    expect((await resend()).json()).toMatchObject({ type: "/problems/webhook-disabled", status: 409 });
    receiver.answer(204);
    expect((await ask("PATCH", `/v1/webhooks/${id}`, tilda, { enabled: true })).json()).toMatchObject({
      disabledAt: null,
      failures: 0,
    });
    expect((await resend()).statusCode).toBe(204);
    await receiver.until(10);
  });

  // RFC 9110, 15.5.11: the receiver intends that it is gone for good.
  it("is disabled at once by 410", async () => {
    const { id } = await make();
    receiver.answer(410);
    await askAndAnswer();
    await until(
      () => hook(id),
      ({ disabledAt }) => disabledAt !== null,
    );
    expect(receiver.received).toHaveLength(1);
    expect(await failures(id)).toMatchObject([{ attempts: 1, fault: "answered 410" }]);
  });

  it("is not followed to where it redirects", async () => {
    const elsewhere = await startWebhookReceiver();
    const { id } = await make();
    receiver.answer((_, response) => void response.writeHead(307, { location: elsewhere.url }).end());
    await askAndAnswer();
    expect(
      await until(
        () => failures(id),
        ({ length }) => length > 0,
      ),
    ).toMatchObject([{ fault: "answered 307" }]);
    expect(elsewhere.received).toEqual([]);
    await elsewhere.close();
  });

  it("is waited for no longer than its time, and of its answer no more than the head is read", async () => {
    const { id } = await make();
    receiver.answer(() => undefined);
    const config: { webhookSeconds: number } = app.nest.get(CONFIG);
    config.webhookSeconds = 1;
    await askAndAnswer();
    const found = await until(
      () => failures(id),
      ({ length }) => length > 0,
    );
    config.webhookSeconds = WEBHOOK_SETTINGS.webhookSeconds;
    expect(found).toMatchObject([{ attempts: 3, fault: "no answer within 1 s" }]);
    let sent = 0;
    receiver.answer((_, response) => {
      response.writeHead(200);
      const more = () => {
        while (!response.destroyed && response.write("x".repeat(65_536))) sent += 65_536;
      };
      response.on("drain", more);
      more();
    });
    await askAndAnswer();
    await until(
      () => hook(id),
      ({ failures: failed }) => failed === 0,
    );
    expect(sent).toBeLessThan(64 * 1024 * 1024);
    receiver.answer((_, response) => void response.writeHead(200, { "x-long": "x".repeat(40_000) }).end());
    await askAndAnswer();
    const [newest] = await until(
      () => failures(id),
      ({ length }) => length > 1,
    );
    expect(newest?.fault).toBe("no answer: HPE_HEADER_OVERFLOW");
  });

  it("signs with the old and the new secret for a day after a rotation, then with the new one alone", async () => {
    const { id, secret: old } = await make();
    const rotated = await ask("POST", `/v1/webhooks/${id}/secret`, tilda);
    expect(rotated.statusCode).toBe(201);
    const { secret, previousSecretUntil } = rotated.json<NewWebhookView>();
    const hours = (Date.parse(previousSecretUntil ?? "") - Date.now()) / 3_600_000;
    expect(hours).toBeGreaterThan(23);
    expect(hours).toBeLessThanOrEqual(24);
    await askAndAnswer();
    await receiver.until(1);
    for (const one of [old, secret]) verified(receiver.received[0] as Received, one);
    await app.database.webhook.update({ where: { id }, data: { previousUntil: new Date(Date.now() - 1_000) } });
    await askAndAnswer();
    await receiver.until(2);
    verified(receiver.received[1] as Received, secret);
    expect(() => verified(receiver.received[1] as Received, old)).toThrow(WebhookVerificationError);
    expect((await ask("POST", `/v1/webhooks/${id}/secret`, await app.signIn("thief"))).statusCode).toBe(404);
  });

  it("shows its secret once, is one of ten at most, and is nobody else's", async () => {
    const { id, secret } = await make();
    for (const url of ["/v1/webhooks", `/v1/webhooks/${id}`]) {
      const { statusCode, body } = await ask("GET", url, tilda);
      expect([statusCode, body.includes(secret)]).toEqual([200, false]);
    }
    const thief = await app.signIn("thief");
    expect((await ask("GET", `/v1/webhooks/${id}`, thief)).statusCode).toBe(404);
    expect((await ask("GET", `/v1/webhooks/${id}/failures`, thief)).statusCode).toBe(404);
    expect((await ask("PATCH", `/v1/webhooks/${id}`, thief, { enabled: false })).statusCode).toBe(404);
    expect((await ask("DELETE", `/v1/webhooks/${id}`, thief)).statusCode).toBe(404);
    const answers = await Promise.all(
      Array.from({ length: 12 }, () => ask("POST", "/v1/webhooks", tilda, { url: receiver.url })),
    );
    expect(answers.filter(({ statusCode }) => statusCode === 201)).toHaveLength(9);
    expect(answers.find(({ statusCode }) => statusCode !== 201)?.json()).toMatchObject({
      type: "/problems/limit-reached",
    });
  });

  it("goes with the key that it was made with, and with its account", async () => {
    const made = await ask("POST", "/v1/keys", tilda, { label: "App", scopes: ["read", "write"] });
    const { id: keyId, key } = made.json<{ id: string; key: string }>();
    const { id } = await make({}, { authorization: `Bearer ${key}` });
    expect((await ask("DELETE", `/v1/keys/${keyId}`, tilda)).statusCode).toBe(204);
    expect((await ask("GET", `/v1/webhooks/${id}`, tilda)).statusCode).toBe(404);
    const leaver = await app.signIn("leaver");
    await make({}, leaver);
    const before = await app.database.webhook.count();
    await ask("POST", "/v1/accounts/me/erasure", leaver, { password: "correct horse battery" });
    expect(await app.database.webhook.count()).toBe(before - 1);
  });

  it("is made, listed, sent again and deleted in GraphQL too", async () => {
    const graphql = async (query: string) => {
      const { body } = await app.graphql(query, { headers: tilda });
      expect(body.errors ?? []).toEqual([]);
      return body.data as never;
    };
    const { createWebhook } = (await graphql(
      `mutation { createWebhook(input: {url: "${receiver.url}", kinds: [QUESTION]}) { id secret kinds } }`,
    )) as { createWebhook: { id: string; secret: string; kinds: string[] } };
    expect(createWebhook).toMatchObject({ kinds: ["QUESTION"], secret: expect.stringMatching(/^whsec_/) });
    receiver.answer(500);
    await askAndAnswer();
    const [failure] = await until(
      () => failures(createWebhook.id),
      ({ length }) => length > 0,
    );
    const list = `webhooks { edges { node { id failures } } } webhookFailures(webhookId: "${createWebhook.id}") { totalCount edges { node { id fault } } }`;
    expect(await graphql(`{ ${list} }`)).toMatchObject({
      webhooks: { edges: [{ node: { id: createWebhook.id, failures: 3 } }] },
      webhookFailures: { totalCount: 1, edges: [{ node: { id: failure?.id, fault: "answered 500" } }] },
    });
    const rotate = `mutation { rotateWebhookSecret(id: "${createWebhook.id}") { secret previousSecretUntil } }`;
    const { rotateWebhookSecret } = (await graphql(rotate)) as { rotateWebhookSecret: { secret: string } };
    expect(rotateWebhookSecret).toMatchObject({ previousSecretUntil: expect.any(String) });
    expect(rotateWebhookSecret.secret).not.toBe(createWebhook.secret);
    receiver.answer(204);
    await graphql(`mutation { resendWebhookFailure(webhookId: "${createWebhook.id}", id: "${failure?.id}") }`);
    await receiver.until(4);
    expect(
      await graphql(`mutation { setWebhookEnabled(id: "${createWebhook.id}", enabled: false) { disabledAt } }`),
    ).toMatchObject({ setWebhookEnabled: { disabledAt: expect.any(String) } });
    expect(await graphql(`mutation { deleteWebhook(id: "${createWebhook.id}") }`)).toEqual({
      deleteWebhook: createWebhook.id,
    });
  });
});
