import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import type { NoticeKind } from "../../src/features/notices/catalogue.js";
import type { NoticeList, NoticeView } from "../../src/features/notices/notices.views.js";
import { AuditLog } from "../../src/platform/audit-log/audit-log.js";
import { productOf } from "../support/facts.js";
import { inRestWords } from "../support/graphql-words.js";
import { verified } from "../support/webhook-receiver.js";
import { type Headers, WebhookTest } from "../support/webhook-test.js";
import { REST_ROWS } from "./rest-rows.js";
import { STAKE_ROWS } from "./stake-rows.js";
import { TOLD_ROWS } from "./told-rows.js";

type Method = "POST" | "PUT" | "PATCH" | "DELETE";

let webhooks: WebhookTest;
let app: WebhookTest["app"];
let tilda: Headers;
let bert: Headers;
let mona: Headers;
let ada: Headers;
let secret: string;
/** Packs that tilda registered: with her run and a specimen of bert's, without either, and one without results. */
let packs: { readonly first: string; readonly second: string; readonly fresh: string };
beforeAll(async () => {
  webhooks = await WebhookTest.start();
  ({ app, tilda, mona } = webhooks);
  bert = await app.signIn("bert");
  ada = await app.signIn("ada", "administrator");
  await webhooks.begin();
  ({ secret } = await webhooks.make());
  const { packId } = await app.database.run.findUniqueOrThrow({ where: { id: webhooks.runId } });
  const first = packId ?? "";
  const product = async (name: string, more: object) =>
    (await ask("POST", "/v1/packs", tilda, { ...productOf(name), ...more })).json<{ id: string }>().id;
  packs = { first, second: await product("Regatta", {}), fresh: await product("Fresh", { series: 8 }) };
  await ask("POST", "/v1/specimens", bert, { packId: first, label: "mine", cycles: 3 });
});
afterAll(async () => {
  await webhooks.end();
  await app.close();
});

const ask = (method: Method | "GET", url: string, headers: Headers, payload?: object) =>
  app.inject({ method, url, headers, ...(payload ? { payload } : {}) });
const noticesOf = async (headers: Headers) =>
  (await ask("GET", "/v1/notices?first=100", headers)).json<NoticeList>().items;
const kindsOf = async (headers: Headers) => (await noticesOf(headers)).map(({ kind }) => kind).reverse();

interface Act {
  readonly row: string;
  readonly about: "run" | "account" | keyof typeof packs;
  readonly by?: "ada";
  readonly body?: () => Promise<object> | object;
  readonly path?: () => Promise<string>;
  /** What its tester has to do first. */
  readonly before?: () => Promise<unknown>;
  /** Whether no reason can be given. */
  readonly silent?: true;
}

const decision = (word: string, reason: string) => ({ decision: word, rules: [], note: reason });
const latestReview = async () =>
  `/v1/reviews/${(await app.database.review.findFirstOrThrow({ orderBy: { id: "desc" } })).id}`;
let reason = "";

/** One after another, each possible after those before it. */
const ACTS: readonly Act[] = [
  { row: "POST /v1/reviews", about: "run", body: () => ({ runIds: [webhooks.runId], ...decision("reject", reason) }) },
  { row: "DELETE /v1/reviews/{id}", about: "run", path: latestReview, silent: true },
  { row: "POST /v1/runs/{id}/reviews", about: "run", body: () => decision("accept", reason) },
  { row: "PATCH /v1/packs/{id}", about: "first", body: () => ({ massGrams: 510, reason }) },
  { row: "PATCH /v1/runs/{id}", about: "run", body: () => ({ packId: packs.second, note: reason }) },
  { row: "POST /v1/packs/{id}/confirmation", about: "first", body: () => ({ checked: ["label"], reason }) },
  { row: "DELETE /v1/packs/{id}/confirmation", about: "first" },
  { row: "POST /v1/packs/{id}/hiding", about: "first", body: () => ({ reason }) },
  { row: "DELETE /v1/packs/{id}/hiding", about: "first" },
  { row: "POST /v1/packs/{id}/merge", about: "first", body: () => ({ into: packs.second, reason }) },
  { row: "DELETE /v1/packs/{id}/merge", about: "first" },
  {
    row: "POST /v1/packs/{id}/sealed-round",
    about: "fresh",
    body: () => ({ closesAt: new Date(Date.now() + 86_400_000).toISOString(), note: reason }),
  },
  { row: "POST /v1/accounts/{handle}/suspension", about: "account", body: () => ({ reason }) },
  { row: "DELETE /v1/accounts/{handle}/suspension", about: "account" },
  { row: "POST /v1/testers/{handle}/vouch", about: "account", body: () => ({ note: reason }) },
  { row: "DELETE /v1/testers/{handle}/vouch", about: "account" },
  {
    row: "POST /v1/runs/{id}/withdrawal-excuse",
    about: "run",
    before: () => ask("DELETE", `/v1/runs/${webhooks.runId}`, tilda),
    body: () => ({ note: reason }),
  },
  { row: "PUT /v1/accounts/{handle}/role", about: "account", by: "ada", body: () => ({ role: "moderator", reason }) },
];

async function perform({ row, about, by, body, path, before }: Act) {
  await before?.();
  const [method, template] = row.split(" ") as [Method, string];
  const id = about === "run" || about === "account" ? webhooks.runId : packs[about];
  const address = (await path?.()) ?? template.replace("{id}", id).replace("{handle}", "tilda");
  const query = body ? "" : `?reason=${encodeURIComponent(reason)}`;
  const answer = await ask(method, `${address}${path ? "" : query}`, by ? ada : mona, await body?.());
  expect([row, answer.body]).toEqual([row, expect.not.stringContaining('"code"')]);
}

/** The newest notice as GraphQL shows it, in the words of REST. */
async function byGraphql(headers: Headers): Promise<unknown> {
  const query =
    "{ notices(first: 1) { edges { node { id kind title text reason subject { kind id href } createdAt readAt } } } }";
  const { body } = await app.graphql(query, { headers });
  return (inRestWords(body.data) as { notices: { edges: { node: unknown }[] } }).notices.edges[0]?.node;
}

describe("whoever is concerned by what others do", () => {
  it("has a row for every act of a moderator or an administrator, and no row more", () => {
    const acts = Object.keys(REST_ROWS).filter(
      (row) => REST_ROWS[row] === "administrator" && !row.startsWith("GET ") && !(row in STAKE_ROWS),
    );
    expect(Object.keys(TOLD_ROWS).sort()).toEqual([...Object.keys(STAKE_ROWS), ...acts].sort());
  });

  it.each(ACTS)("is told of $row, with the reason, in both APIs and by webhook", async (act) => {
    reason = `Because of ${act.row}.`;
    const before = await noticesOf(tilda);
    await perform(act);
    const [notice, ...older] = (await noticesOf(tilda)) as [NoticeView, ...NoticeView[]];
    expect(older.map(({ id }) => id)).toEqual(before.map(({ id }) => id));
    expect(notice).toMatchObject({ kind: TOLD_ROWS[act.row], subject: { kind: kindOf(act) } });
    if (act.silent) expect(notice.reason).toBeNull();
    else expect(notice.reason).toContain(reason);
    expect(await byGraphql(tilda)).toEqual(notice);
    await webhooks.receiver.until(older.length + 1);
    const messages = webhooks.receiver.received.map((one) => verified(one, secret));
    expect(messages.map(({ data }) => data)).toContainEqual(notice);
  });

  it("is every kind that the rows name", () => {
    const elsewhere: NoticeKind[] = ["held-result-decided"];
    const kinds = ACTS.map(({ row }) => TOLD_ROWS[row]).concat(elsewhere);
    expect(new Set(kinds)).toEqual(new Set(Object.values(TOLD_ROWS).filter((kind) => kind !== null)));
  });

  it("is who has a specimen of a pack too, and never who does it", async () => {
    expect(await kindsOf(bert)).toEqual(["pack-hidden", "pack-shown", "pack-merged", "pack-separated"]);
    for (const headers of [mona, ada]) expect(await noticesOf(headers)).toEqual([]);
  });

  it("no longer sees a reason that was erased, and is told by no webhook", async () => {
    const [before] = await noticesOf(bert);
    expect(before?.reason).toContain("Because of");
    const { id } = await app.database.account.findFirstOrThrow({ where: { handle: "mona" } });
    const auditLog = app.nest.get(AuditLog);
    await auditLog.transaction((tx) => auditLog.eraseReasonsOf(tx, id));
    expect((await noticesOf(bert)).map((notice) => notice.reason)).toEqual([null, null, null, null]);
    expect(await byGraphql(bert)).toEqual({ ...before, reason: null });
  });
});

const kindOf = ({ about }: Act): string => (about === "run" || about === "account" ? about : "pack");
