import { once } from "node:events";
import { type IncomingMessage, request } from "node:http";
import { setTimeout as delay } from "node:timers/promises";
import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { startTestApp, type TestApp } from "../../../test/support/app.js";
import { logCase, postForm, register } from "../../../test/support/uploads.js";

const CASE = logCase("too-hot");
type Headers = { authorization: string };

let app: TestApp;
let headers: Headers;
let run: object;
beforeAll(async () => {
  app = await startTestApp();
  headers = await app.signIn("anna");
  const { packId: _, ...ids } = await register(app, headers, "Sprint", CASE);
  run = { protocol: "full-load", ...ids, ...CASE.conditions };
});
afterAll(() => app.close());

/** The same discharge with another last line, so that it is a log of its own. */
const another = (n: number) => Uint8Array.from([...CASE.log, ...Buffer.from(`# ${n}\n`)]);
const upload = (n: number) => postForm(`${app.url}/v1/runs`, run, another(n), { headers });
const ready = () => app.inject({ url: "/health/ready" });

/** The answer to an upload of which only the head was sent. */
async function statusBeforeBody(url: string, owner: Headers): Promise<number | undefined> {
  const fields = { ...owner, "content-type": "multipart/form-data; boundary=b", "content-length": 2 ** 20 };
  const sending = request(url, { method: "POST", headers: fields });
  sending.flushHeaders();
  const [answer] = (await once(sending, "response")) as [IncomingMessage];
  sending.destroy();
  return answer.statusCode;
}

/** Makes every row that is added to a table fail as the database fails (PostgreSQL documentation, appendix A). */
async function failInserts(table: string, sqlstate: string): Promise<() => Promise<unknown>> {
  await app.database.$executeRawUnsafe(`CREATE FUNCTION fail_${table}() RETURNS trigger LANGUAGE plpgsql AS
    $$ BEGIN RAISE EXCEPTION 'could not extend file' USING errcode = '${sqlstate}'; END $$`);
  await app.database.$executeRawUnsafe(
    `CREATE TRIGGER fail_${table} BEFORE INSERT ON ${table} FOR EACH ROW EXECUTE FUNCTION fail_${table}()`,
  );
  return () => app.database.$executeRawUnsafe(`DROP FUNCTION fail_${table} CASCADE`);
}

// 53100 disk_full, 53200 out_of_memory, 25006 read_only_sql_transaction.
describe.each(["53100", "53200", "25006"])("a database that fails with %s", (sqlstate) => {
  it("refuses uploads and says that it is not ready, while reading goes on; and recovers by itself", async () => {
    const n = Number(sqlstate);
    const repair = await failInserts("log_chunk", sqlstate);
    const { status, body, headers: fields } = await upload(n);
    expect([status, body.type]).toEqual([507, "/problems/storage-unavailable"]);
    expect(fields["retry-after"]).toMatch(/^\d+$/);
    const notReady = await ready();
    expect([notReady.statusCode, notReady.json()]).toEqual([503, expect.objectContaining({ waitingFor: ["storage"] })]);
    expect((await app.inject({ url: "/v1/packs", headers })).statusCode).toBe(200);
    expect(await app.database.run.count({ where: { fileName: "log.csv", evaluations: { none: {} } } })).toBe(0);
    await repair();
    expect((await ready()).statusCode).toBe(200);
    expect((await upload(n)).status).toBe(201);
  });
});

it("a run that was taken waits for room, whatever many tries that takes, and is evaluated then", async () => {
  const repairs = [await failInserts("evaluation", "53100")];
  const uploaded = upload(1);
  while ((await app.database.run.count({ where: { state: "processing" } })) === 0) await delay(10);
  repairs.push(await failInserts("log_chunk", "53100"));
  let answer = await ready();
  while (answer.statusCode === 200) answer = await ready();
  expect(answer.json()).toMatchObject({ waitingFor: ["storage"] });
  for (const repair of repairs) await repair();
  expect((await uploaded).body).toMatchObject({ state: "processed", error: null });
});

it("all logs together are held against the cap, and reading goes on", async () => {
  const small = await startTestApp({ storageMebibytes: 0 });
  const owner = await small.signIn("bruno");
  const { packId: _, ...ids } = await register(small, owner, "Sprint", CASE);
  const sent = { protocol: "full-load", ...ids, ...CASE.conditions };
  const { status, body } = await postForm(`${small.url}/v1/runs`, sent, CASE.log, { headers: owner });
  expect([status, body.type]).toEqual([507, "/problems/storage-unavailable"]);
  expect(body.detail).toContain("0 MiB of logs");
  expect((await small.inject({ url: "/health/ready" })).json()).toMatchObject({ waitingFor: ["storage"] });
  expect((await small.inject({ url: "/v1/packs" })).statusCode).toBe(200);
  // A check stores nothing.
  expect((await postForm(`${small.url}/v1/checks`, sent, CASE.log, { headers: owner })).status).toBe(200);
  expect(await statusBeforeBody(`${small.url}/v1/runs`, owner)).toBe(507);
  expect(await small.database.log.count()).toBe(0);
  await small.close();
});
