import { setTimeout as delay } from "node:timers/promises";
import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import request from "supertest";
import type { MailAddressView } from "../../src/features/mail/mail.views.js";
import { MailAddressesRepository } from "../../src/features/mail/mail-addresses.repository.js";
import type { NoticeList } from "../../src/features/notices/notices.views.js";
import { startTestApp, type TestApp } from "../support/app.js";
import { linkOf, type MailServer, type ReceivedMail, startMailServer } from "../support/mail-server.js";
import { unpacked } from "../support/unpacked.js";
import { uploadCase } from "../support/uploads.js";

type Headers = { authorization: string };
type Method = "GET" | "POST" | "PUT" | "DELETE";

const ADDRESS = "tilda@bench.example";
const HOME = "https://packs.example";

let server: MailServer;
let app: TestApp;
let tilda: Headers;
let mona: Headers;
let runId: string;
beforeAll(async () => {
  server = await startMailServer();
  app = await startTestApp({ mail: server.settings });
  tilda = await app.signIn("tilda");
  mona = await app.signIn("mona", "moderator");
  runId = (await uploadCase(app, tilda, "Sprint", "truth-4s-10hz")).body.id;
});
afterAll(async () => {
  await app.close();
  await server.close();
});

const ask = (method: Method, url: string, headers: Headers | Record<string, string>, payload?: object | string) =>
  app.inject({ method, url, headers, ...(payload ? { payload } : {}) });
const mine = async (headers = tilda) =>
  (await ask("GET", "/v1/accounts/me/mail-address", headers)).json<MailAddressView>();
const set = (address: unknown, headers = tilda) => ask("PUT", "/v1/accounts/me/mail-address", headers, { address });

async function askAndAnswer(): Promise<void> {
  const asked = { decision: "request-info", rules: ["sampling-rate"], note: "Call Zoe about the charger." };
  expect((await ask("POST", `/v1/runs/${runId}/reviews`, mona, asked)).statusCode).toBe(201);
  expect((await ask("POST", `/v1/runs/${runId}/answers`, tilda, { note: "The usual one." })).statusCode).toBe(200);
}

/** Waits until every notice that is to be mailed was, and no job is left that would mail any. */
async function untilNothingIsDue(): Promise<void> {
  const left =
    "SELECT FROM notice WHERE mail_due UNION ALL SELECT FROM graphile_worker.jobs WHERE task_identifier = 'mail-notices'";
  while ((await app.database.pool.query(left)).rowCount !== 0) await delay(20);
}

async function confirm(address: string, headers = tilda): Promise<void> {
  const before = server.mails.length;
  expect((await set(address, headers)).statusCode).toBe(200);
  await server.until(before + 1);
  const path = linkOf(server.mails.at(-1) as ReceivedMail, "confirm");
  expect((await ask("POST", path, {})).statusCode).toBe(200);
}

describe("an e-mail address", () => {
  it("is sent nothing but a link until that is confirmed by more than being followed", async () => {
    expect(await mine()).toEqual({ available: true, address: null, confirmedAt: null });
    expect((await set(ADDRESS)).json()).toEqual({ available: true, address: ADDRESS, confirmedAt: null });
    await server.until(1);
    const [mail] = server.mails as [ReceivedMail];
    expect([mail.from, mail.to]).toEqual(["packs@packs.example", [ADDRESS]]);
    await askAndAnswer();
    const path = linkOf(mail, "confirm");
    const page = await ask("GET", path, {});
    expect([page.statusCode, page.headers["content-type"]]).toEqual([200, "text/html; charset=utf-8"]);
    expect(page.body).toContain('<form method="post">');
    // Else a browser would not send the form (CSP Level 3, 6.4.1).
    expect(page.headers["content-security-policy"]).toContain("form-action 'self'");
    expect((await mine()).confirmedAt).toBeNull();
    const form = { "content-type": "application/x-www-form-urlencoded" };
    expect((await ask("POST", path, form, "")).statusCode).toBe(200);
    expect((await mine()).confirmedAt).not.toBeNull();
    expect((await ask("POST", path, {})).statusCode).toBe(404);
    expect((await ask("POST", `/v1/mail/confirm/${"A".repeat(43)}`, {})).statusCode).toBe(404);
    expect(server.mails).toHaveLength(1);
  });

  it("is sent notices, which never repeat what a person wrote", async () => {
    const before = server.mails.length;
    await askAndAnswer();
    await server.until(before + 1);
    const mail = server.mails[before] as ReceivedMail;
    expect(mail.to).toEqual([ADDRESS]);
    expect(mail.headers.get("subject")).toBe("A moderator has a question about your run");
    expect(mail.text).toContain(`${HOME}/v1/runs/${runId}`);
    expect(mail.text).toContain("Rules: sampling-rate.");
    expect(mail.text).not.toContain("Zoe");
    // RFC 3834, 5, and RFC 8058, 3.1.
    expect(mail.headers.get("auto-submitted")).toBe("auto-generated");
    expect(mail.headers.get("list-unsubscribe-post")).toBe("List-Unsubscribe=One-Click");
    expect(mail.headers.get("list-unsubscribe")).toMatch(
      /^<https:\/\/packs\.example\/v1\/mail\/unsubscribe\/[\w-]{43}>$/,
    );
  });

  it("is sent again what the server could not take, once", async () => {
    const before = server.mails.length;
    server.refuse(451);
    await askAndAnswer();
    while (server.refused() === 0) await delay(20);
    server.refuse(null);
    await server.until(before + 1);
    await untilNothingIsDue();
    expect(server.mails).toHaveLength(before + 1);
    expect((await mine()).address).toBe(ADDRESS);
  });

  it("is forgotten by one click, without a session, and not by following the link", async () => {
    const mail = server.mails.at(-1) as ReceivedMail;
    const path = linkOf(mail, "unsubscribe");
    expect((await ask("GET", path, {})).statusCode).toBe(200);
    expect((await mine()).address).toBe(ADDRESS);
    const oneClick = { "content-type": "application/x-www-form-urlencoded" };
    expect((await ask("POST", path, oneClick, "List-Unsubscribe=One-Click")).statusCode).toBe(200);
    expect((await mine()).address).toBeNull();
    expect((await ask("POST", path, oneClick, "List-Unsubscribe=One-Click")).statusCode).toBe(200);
    const before = server.mails.length;
    await askAndAnswer();
    await untilNothingIsDue();
    expect(server.mails).toHaveLength(before);
  });

  it("is forgotten by one click as a mail program sends it, as multipart (RFC 8058, 3.2), too", async () => {
    await confirm(ADDRESS);
    const before = server.mails.length;
    await askAndAnswer();
    await server.until(before + 1);
    const path = linkOf(server.mails[before] as ReceivedMail, "unsubscribe");
    const answer = await request(app.url).post(path).field("List-Unsubscribe", "One-Click");
    expect(answer.status).toBe(200);
    expect((await mine()).address).toBeNull();
  });

  it("takes no form where no mail leads", async () => {
    const form = { "content-type": "application/x-www-form-urlencoded", ...tilda };
    expect((await ask("PUT", "/v1/accounts/me/mail-address", form, `address=${ADDRESS}`)).statusCode).toBe(415);
    expect((await ask("POST", `/v1/mail/unsubscribe/${"A".repeat(43)}`, form, "a".repeat(2_000))).statusCode).toBe(413);
  });

  it("is not confirmed by what was mailed to another one that was set before it", async () => {
    const headers = await app.signIn("changer");
    const addresses = app.nest.get(MailAddressesRepository, { strict: false });
    await confirm("first@bench.example", headers);
    const first = await app.database.mailAddress.findFirstOrThrow({ where: { address: "first@bench.example" } });
    const before = server.mails.length;
    await set("second@bench.example", headers);
    await server.until(before + 1);
    expect(await addresses.expect(first, Buffer.alloc(32, 9), new Date(Date.now() + 60_000))).toBe(false);
    expect(await app.database.$transaction((tx) => addresses.removeThis(tx, first))).toBe(false);
    expect(await mine(headers)).toMatchObject({ address: "second@bench.example", confirmedAt: null });
    await ask("DELETE", "/v1/accounts/me/mail-address", headers);
  });

  it("is mailed to by one job at a time, and by all together once", async () => {
    await confirm(ADDRESS);
    const { accountId } = await app.database.mailAddress.findFirstOrThrow({ where: { address: ADDRESS } });
    const addresses = app.nest.get(MailAddressesRepository, { strict: false });
    expect(await addresses.take(accountId)).toBe(true);
    expect(await addresses.take(accountId)).toBe(false);
    const before = server.mails.length;
    await askAndAnswer();
    await askAndAnswer();
    await addresses.release(accountId);
    await untilNothingIsDue();
    expect(server.mails).toHaveLength(before + 1);
    expect(server.mails.at(-1)?.headers.get("subject")).toBe("2 notices about your runs");
  });

  it("that its server refuses for good is removed, and its owner is told", async () => {
    await confirm("old@bench.example");
    server.refuse(550);
    await askAndAnswer();
    while ((await mine()).address !== null) await delay(20);
    server.refuse(null);
    const { items } = (await ask("GET", "/v1/notices?kind=mail-refused", tilda)).json<NoticeList>();
    expect(items).toHaveLength(1);
    expect(items[0]?.subject.href).toBe("/v1/accounts/me/mail-address");
  });

  it.each([
    "tilda",
    "tilda@",
    "@bench.example",
    "tilda@bench",
    "tilda@bench.example\r\nBcc: all@bench.example",
    "tilda@bench.example\nSubject: won",
    "tilda@bench.example, all@bench.example",
    "Tilda <tilda@bench.example>",
    '"a\\r\\nRCPT TO:<x@y.example>"@bench.example',
    "tilda@bench.example> SIZE=1",
    "tilda@-bench.example",
    `${"a".repeat(65)}@bench.example`,
    null,
    ["tilda@bench.example"],
  ])("is refused when it is none, or more than one: %j", async (address) => {
    const before = server.mails.length;
    const answer = await set(address);
    expect([answer.statusCode, answer.json<{ errors: { pointer: string }[] }>().errors[0]?.pointer]).toEqual([
      422,
      "/address",
    ]);
    expect(server.mails).toHaveLength(before);
  });

  it("of somebody else is not flooded with mails that ask to confirm it", async () => {
    const victim = "victim@bench.example";
    const statuses: number[] = [];
    for (const handle of ["one", "two", "three", "four"])
      statuses.push((await set(victim, await app.signIn(handle))).statusCode);
    expect(statuses).toEqual([200, 200, 200, 429]);
  });

  it("is part of what its owner takes away, goes with the account, and is for a session alone", async () => {
    const leaver = await app.signIn("leaver");
    await confirm("leaver@bench.example", leaver);
    const made = await ask("POST", "/v1/keys", leaver, { label: "App", scopes: ["read", "write"] });
    const key = { authorization: `Bearer ${made.json<{ key: string }>().key}` };
    expect((await ask("GET", "/v1/accounts/me/mail-address", key)).statusCode).toBe(403);
    const where = { address: "leaver@bench.example" };
    expect(await app.database.mailAddress.count({ where })).toBe(1);
    const archive = await ask("GET", "/v1/accounts/me/export", leaver);
    expect(String((await unpacked(archive.rawPayload)).get("mail-address.json"))).toContain("leaver@bench.example");
    await ask("POST", "/v1/accounts/me/erasure", leaver, { password: "correct horse battery" });
    expect(await app.database.mailAddress.count({ where })).toBe(0);
  });

  it("is set, read and forgotten in GraphQL too", async () => {
    const headers = await app.signIn("greta");
    const graphql = async (query: string) => (await app.graphql(query, { headers })).body.data;
    const input = '(input: {address: "greta@bench.example"})';
    expect(await graphql(`mutation { setMailAddress${input} { address confirmedAt } }`)).toEqual({
      setMailAddress: { address: "greta@bench.example", confirmedAt: null },
    });
    expect(await graphql("{ mailAddress { available address } }")).toEqual({
      mailAddress: { available: true, address: "greta@bench.example" },
    });
    expect(await graphql("mutation { deleteMailAddress { address } }")).toEqual({
      deleteMailAddress: { address: null },
    });
  });
});

it("without a server of mail, addresses are refused and it is said so", async () => {
  const other = await startTestApp();
  try {
    const headers = await other.signIn("tilda");
    const url = "/v1/accounts/me/mail-address";
    expect((await other.inject({ url, headers })).json()).toMatchObject({ available: false, address: null });
    const refused = await other.inject({ method: "PUT", url, headers, payload: { address: ADDRESS } });
    expect(refused.json()).toMatchObject({ status: 409, type: "/problems/mail-not-configured" });
  } finally {
    await other.close();
  }
});
