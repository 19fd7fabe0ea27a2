import { afterAll, beforeAll, expect, it } from "@jest/globals";
import { verifyChain } from "../../src/platform/audit-log/verify.js";
import { startTestApp, type TestApp } from "../support/app.js";
import { productOf } from "../support/facts.js";
import { logCase, postForm } from "../support/uploads.js";

type Headers = { authorization: string };
type Method = "GET" | "POST" | "PUT" | "DELETE";

/** Stands for a person's name in whatever that person writes. */
const NAME = "zarathea";
const password = "correct horse battery";

let app: TestApp;
let person: Headers;
let mona: Headers;
beforeAll(async () => {
  app = await startTestApp();
  person = await app.signIn(NAME, "moderator");
  mona = await app.signIn("mona", "moderator");
});
afterAll(() => app.close());

const ask = (method: Method, url: string, headers: Headers, payload?: object) =>
  app.inject({ method, url, headers, ...(payload ? { payload } : {}) });

async function upload(headers: Headers, signature: string, caseName: string): Promise<string> {
  const { pack, bench, conditions, log } = logCase(caseName);
  const made = async (url: string, payload: object) =>
    (await ask("POST", url, headers, payload)).json<{ id: string }>().id;
  const packId = await made("/v1/packs", productOf(caseName, pack));
  const specimenId = await made("/v1/specimens", { packId, label: `Pack of ${signature}`, cycles: 12 });
  const benchId = await made("/v1/benches", { ...bench, label: `Bench of ${signature}` });
  const run = { protocol: "full-load", specimenId, benchId, ...conditions };
  const { body } = await postForm(`${app.url}/v1/runs`, run, log, { headers, fileName: `${signature}.csv` });
  return body.id;
}

/** Tables in which a word stands anywhere, in whatever column. */
async function tablesWith(word: string): Promise<string[]> {
  const tables = await app.database.$queryRaw<{ name: string }[]>`
    SELECT format('%I.%I', table_schema, table_name) AS name FROM information_schema.tables
    WHERE table_type = 'BASE TABLE' AND table_schema NOT IN ('pg_catalog', 'information_schema') ORDER BY 1`;
  const found: string[] = [];
  for (const { name } of tables) {
    const rows = await app.database.$queryRawUnsafe<object[]>(
      `SELECT FROM ${name} AS row WHERE row::text ILIKE '%' || $1 || '%' LIMIT 1`,
      word,
    );
    if (rows.length > 0) found.push(name.replace("public.", ""));
  }
  return found;
}

it("leaves nothing that a person wrote, and of what others wrote about them only what an administrator has not erased", async () => {
  const own = await upload(person, NAME, "truth-4s-10hz");
  const others = await upload(await app.signIn("tilda"), "tilda", "plain-20hz");
  const decide = (id: string, headers: Headers, decision: string, note: string) =>
    ask("POST", `/v1/runs/${id}/reviews`, headers, { decision, rules: [], note });
  await decide(own, mona, "request-info", `Is that you, ${NAME}?`);
  await ask("POST", `/v1/runs/${own}/answers`, person, { note: `Yes, ${NAME}.` });
  await decide(own, mona, "reject", "Too warm.");
  await ask("POST", `/v1/runs/${own}/appeals`, person, { note: `${NAME} does not agree.` });
  await decide(others, person, "request-info", `Call ${NAME}.`);
  const map = { label: `Logger of ${NAME}`, header: ["t", "V", "I"], columns: { time: "t" } };
  expect((await ask("POST", "/v1/column-maps", person, map)).statusCode).toBe(201);
  await ask("POST", "/v1/keys", person, { label: `Key of ${NAME}`, scopes: ["read"] });
  const administrator = await app.signIn("ada", "administrator");
  const me = (await ask("GET", "/v1/accounts/me", person)).json<{ id: string }>();
  const role = { role: "administrator", reason: `${NAME} keeps the service.` };
  expect((await ask("PUT", `/v1/accounts/${me.id}/role`, administrator, role)).statusCode).toBe(200);
  expect(await tablesWith(NAME)).toEqual([
    "account",
    "api_key",
    "audit_reason",
    "bench",
    "column_map",
    "run",
    "specimen",
  ]);

  const erasure = await ask("POST", "/v1/accounts/me/erasure", person, { password });
  expect(erasure.statusCode).toBe(200);
  expect(await tablesWith(NAME)).toEqual(["audit_reason"]);
  const history = async () =>
    (await ask("GET", `/v1/reviews/${own}/evidence/full`, mona)).json<{
      history: { items: { position: number; event: string; reason: string | null; actorId: string | null }[] };
    }>().history.items;
  const { id } = erasure.json<{ id: string }>();
  expect((await history()).slice(3)).toMatchObject([
    { event: "request-info", reason: `Is that you, ${NAME}?` },
    { event: "answer", reason: null, actorId: id },
    { event: "reject", reason: "Too warm." },
    { event: "appeal", reason: null, actorId: id },
  ]);

  const asked = (await history())[3]?.position;
  const eraseReason = (run: string, position: unknown, headers = administrator) =>
    ask("DELETE", `/v1/runs/${run}/history/${position}/reason`, headers);
  expect((await eraseReason(own, asked, mona)).statusCode).toBe(403);
  for (const wrong of [0, -1, 1.5, "x", 9_999]) expect((await eraseReason(own, wrong)).statusCode).toBe(404);
  expect((await eraseReason(others, asked)).statusCode).toBe(404);
  expect((await eraseReason(own, asked)).statusCode).toBe(204);
  expect((await eraseReason(own, asked)).statusCode).toBe(404);
  expect(await tablesWith(NAME)).toEqual([]);
  expect((await history()).map(({ event }) => event).at(-1)).toBe("erase-reason");
  expect(await verifyChain(app.database)).toMatchObject({ broken: null });
  // What was decided, and the run, are as they were.
  expect((await ask("GET", `/v1/runs/${own}`, mona)).json()).toMatchObject({
    review: "pending",
    tester: { id, handle: `erased-${id.slice(-12)}` },
  });
});
