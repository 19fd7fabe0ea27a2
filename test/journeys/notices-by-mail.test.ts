import { setTimeout as delay } from "node:timers/promises";
import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import request from "supertest";
import type { MailAddressView } from "../../src/features/mail/mail.views.js";
import { type Addressee, MailAddressesRepository } from "../../src/features/mail/mail-addresses.repository.js";
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

const told = async (kind: string, headers = tilda) =>
  (await ask("GET", `/v1/notices?kind=${kind}`, headers)).json<NoticeList>().items;

/** Notices of an account that are to be mailed. */
async function dueOf(handle: string): Promise<string[]> {
  const rows = await app.database.notice.findMany({
    where: { mailDue: true, account: { handle } },
    orderBy: { id: "asc" },
  });
  return rows.map(({ id }) => id);
}

/** How long the jobs of a task wait, s; the longest. */
async function pauseOf(task: string): Promise<number> {
  const { rows } = await app.database.pool.query<{ pause: number | null }>(
    "SELECT max(extract(epoch FROM run_at - now()))::float8 AS pause FROM graphile_worker.jobs WHERE task_identifier = $1",
    [task],
  );
  return rows[0]?.pause ?? 0;
}

/** Lets what waits after a failure be tried now. */
async function tryNow(handle: string): Promise<void> {
  const { id } = await app.database.account.findFirstOrThrow({ where: { handle } });
  await app.database.mailAddress.update({ where: { accountId: id }, data: { sendingUntil: null } });
  await app.nest.get(MailAddressesRepository, { strict: false }).queue(id, 0);
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
    expect(mail.headers.get("subject")).toBe("Confirm your e-mail address for Packledger");
    expect(mail.text).toContain(`Packledger at ${HOME}/`);
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
    // Who opens it again, or follows another's, is told what to do, on a page.
    for (const method of ["GET", "POST"] as const) {
      for (const link of [path, `/v1/mail/confirm/${"A".repeat(43)}`, "/v1/mail/confirm/A"]) {
        const answer = await ask(method, link, { accept: "text/html" });
        expect([answer.statusCode, answer.headers["content-type"]]).toEqual([404, "text/html; charset=utf-8"]);
        expect(answer.body).toContain("set your address again");
        expect(answer.body).not.toContain("<form");
      }
    }
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
    const gone = await ask("GET", path, { accept: "text/html" });
    expect([gone.statusCode, gone.headers["content-type"]]).toEqual([404, "text/html; charset=utf-8"]);
    expect(gone.body).toContain("Nothing was changed.");
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
    await addresses.release(first, 3_600);
    expect(await mine(headers)).toMatchObject({ address: "second@bench.example", confirmedAt: null });
    expect(
      await app.database.mailAddress.findFirstOrThrow({ where: { address: "second@bench.example" } }),
    ).toMatchObject({
      sendingUntil: null,
    });
    await ask("DELETE", "/v1/accounts/me/mail-address", headers);
  });

  it("is mailed to by one job at a time, and by all together once", async () => {
    await confirm(ADDRESS);
    const { accountId } = await app.database.mailAddress.findFirstOrThrow({ where: { address: ADDRESS } });
    const addresses = app.nest.get(MailAddressesRepository, { strict: false });
    const taken = await addresses.take(accountId);
    expect(taken?.address).toBe(ADDRESS);
    expect(await addresses.take(accountId)).toBeNull();
    const before = server.mails.length;
    await askAndAnswer();
    await askAndAnswer();
    await addresses.release(taken as Addressee);
    await untilNothingIsDue();
    expect(server.mails).toHaveLength(before + 1);
    expect(server.mails.at(-1)?.headers.get("subject")).toBe("2 notices");
  });

  it("is kept while its server refuses what is not its fault; what is given up after three days is told once, and no later notice", async () => {
    const old = new Date(Date.now() - 4 * 86_400_000);
    server.refuse(550);
    const before = server.refused();
    await askAndAnswer();
    while (server.refused() === before) await delay(20);
    const [first] = await dueOf("tilda");
    await app.database.notice.update({ where: { id: first as string }, data: { createdAt: old } });
    await askAndAnswer();
    while ((await dueOf("tilda")).includes(first as string)) await delay(20);
    expect(await dueOf("tilda")).toHaveLength(1);
    const refused = server.refused();
    await tryNow("tilda");
    while (server.refused() === refused) await delay(20);
    expect((await mine()).address).toBe(ADDRESS);
    expect((await told("mail-failed")).map(({ text }) => text.slice(0, 17))).toEqual(["Last answer: 550."]);
    const mails = server.mails.length;
    server.refuse(null);
    await tryNow("tilda");
    await untilNothingIsDue();
    expect(server.mails.slice(mails).map(({ headers }) => headers.get("subject"))).toEqual([
      "A moderator has a question about your run",
    ]);
    expect(await told("mail-failed")).toHaveLength(1);
    expect(await told("mail-refused")).toEqual([]);
  });

  it("that its server says does not exist is removed, and its owner is told", async () => {
    server.refuse(550, "5.1.1");
    await askAndAnswer();
    while ((await mine()).address !== null) await delay(20);
    server.refuse(null);
    const items = await told("mail-refused");
    expect(items).toHaveLength(1);
    expect(items[0]?.subject.href).toBe("/v1/accounts/me/mail-address");
  });

  it("that was replaced before it was refused is not told of", async () => {
    await confirm("old@bench.example");
    const before = await told("mail-refused");
    server.before(() => set("new@bench.example"));
    server.refuse(550, "5.1.1");
    await askAndAnswer();
    while ((await mine()).address !== "new@bench.example") await delay(20);
    await untilNothingIsDue();
    server.refuse(null);
    expect(await told("mail-refused")).toEqual(before);
  });

  it("that takes no mail yet is asked to confirm for a day, ever more seldom", async () => {
    const headers = await app.signIn("patient");
    server.refuse(550);
    const before = server.refused();
    await set("patient@bench.example", headers);
    while (server.refused() === before) await delay(20);
    const where = { address: "patient@bench.example" };
    await app.database.mailAddress.updateMany({ where, data: { failingSince: new Date(Date.now() - 7_200_000) } });
    while ((await pauseOf("confirm-mail-address")) < 3_000) await delay(20);
    expect(await pauseOf("confirm-mail-address")).toBeLessThanOrEqual(3_600);
    await app.database.mailAddress.updateMany({ where, data: { createdAt: new Date(Date.now() - 86_400_000) } });
    await app.database.pool.query(
      "SELECT graphile_worker.reschedule_jobs(array(SELECT id FROM graphile_worker.jobs WHERE task_identifier = 'confirm-mail-address'), now())",
    );
    while ((await told("mail-failed", headers)).length === 0) await delay(20);
    server.refuse(null);
    expect(await mine(headers)).toMatchObject({ address: "patient@bench.example", confirmedAt: null });
    await ask("DELETE", "/v1/accounts/me/mail-address", headers);
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
    // What earlier addresses were refused may come meanwhile.
    const mails = () => server.mails.filter(({ to }) => to.some((one) => !/^(new|patient)@/.test(one))).length;
    const before = mails();
    const answer = await set(address);
    expect([answer.statusCode, answer.json<{ errors: { pointer: string }[] }>().errors[0]?.pointer]).toEqual([
      422,
      "/address",
    ]);
    expect(mails()).toBe(before);
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
