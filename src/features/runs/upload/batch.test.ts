import { randomUUID } from "node:crypto";
import { once } from "node:events";
import { request as httpRequest, type IncomingMessage } from "node:http";
import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import request from "supertest";
import { startTestApp, type TestApp } from "../../../../test/support/app.js";
import { type AnswerBody, answerOf, logCase, register } from "../../../../test/support/uploads.js";

const MIB = 2 ** 20;
const UNKNOWN = "00000000-0000-4000-8000-000000000000";
const found = logCase("plain-20hz");
const unitless = Uint8Array.from(
  Buffer.from(Buffer.from(found.log).toString("utf8").replace("Current [A]", "Current [bar]")),
);

let app: TestApp;
let headers: { authorization: string };
let ids: { specimenId: string; benchId: string };
beforeAll(async () => {
  app = await startTestApp();
  headers = await app.signIn("anna");
  const { packId: _, ...registered } = await register(app, headers, "Batch", found);
  ids = registered;
});
afterAll(() => app.close());

type Files = readonly (readonly [string, Uint8Array<ArrayBuffer>])[];
interface Item {
  readonly file: string;
  readonly status: number;
  readonly run?: AnswerBody;
  readonly problem?: AnswerBody;
}

const entry = (file: string, more: object = {}) => ({
  file,
  protocol: "full-load",
  ...ids,
  ...found.conditions,
  ...more,
});
/** The same discharge with another last line, so that it is a log of its own. */
const another = (n: number, log = found.log) => Uint8Array.from([...log, ...Buffer.from(`# ${n}\n`)]);

async function send(manifest: unknown, files: Files, more: Record<string, string> = {}, to = app) {
  const form = request(to.url)
    .post("/v1/runs/batch")
    .set({ ...headers, ...more });
  for (const [filename, log] of files) form.attach("log", Buffer.from(log), { filename, contentType: "text/csv" });
  if (manifest !== undefined) form.field("manifest", JSON.stringify(manifest));
  const answer = await answerOf(form);
  return { ...answer, items: (answer.body as unknown as { items: Item[] }).items };
}

const outcomes = (items: readonly Item[]) =>
  items.map(({ file, status, run, problem }) => [file, status, run?.state ?? problem?.type.slice("/problems/".length)]);

describe("a batch", () => {
  const manifestOf = () => ({
    runs: [
      entry("b.csv"),
      entry("unreadable.csv"),
      entry("a.csv"),
      entry("not-sent.csv"),
      entry("faulty.csv", { cycles: -1 }),
      entry("foreign.csv", { specimenId: UNKNOWN }),
      entry("twice.csv"),
    ],
  });
  const files: Files = [
    ["a.csv", another(1)],
    ["b.csv", another(2)],
    ["unreadable.csv", unitless],
    ["faulty.csv", another(3)],
    ["foreign.csv", another(4)],
    ["twice.csv", another(5)],
    ["twice.csv", another(6)],
    ["not-named.csv", another(7)],
  ];
  const key = { "idempotency-key": `"${randomUUID()}"` };
  let first: Awaited<ReturnType<typeof send>>;

  it("stores each run on its own, in the order of the manifest, whatever becomes of the others", async () => {
    first = await send(manifestOf(), files, key);
    expect(first.status).toBe(200);
    expect(outcomes(first.items)).toEqual([
      ["b.csv", 201, "processed"],
      ["unreadable.csv", 422, "log-unit-missing"],
      ["a.csv", 201, "processed"],
      ["not-sent.csv", 422, "invalid-input"],
      ["faulty.csv", 422, "invalid-input"],
      ["foreign.csv", 422, "unknown-reference"],
      ["twice.csv", 422, "invalid-input"],
      ["not-named.csv", 422, "invalid-input"],
    ]);
    const pointers = first.items.map(({ problem }) => problem?.errors.map(({ pointer }) => pointer));
    expect(pointers.slice(3)).toEqual([["/file"], ["/cycles"], ["/specimenId"], ["/file"], ["/manifest/runs"]]);
  });

  it("answers the very run that can be read later, and its log that was sent", async () => {
    const [b] = first.items;
    const run = await answerOf(request(app.url).get(`/v1/runs/${b?.run?.id}`).set(headers));
    expect(run.body).toEqual(b?.run);
    const log = await request(app.url).get(`/v1/runs/${b?.run?.id}/log`).set(headers).responseType("blob");
    expect((log.body as Buffer).equals(Buffer.from(another(2)))).toBe(true);
  });

  it("keeps the run of a log that cannot be read, and says how to mend it", async () => {
    const problem = first.items[1]?.problem as AnswerBody & { candidates: object[] };
    const kept = await answerOf(request(app.url).get(`/v1/runs/${problem.runId}`).set(headers));
    expect(kept.body.state).toBe("failed");
    expect(problem.candidates).not.toEqual([]);
  });

  it("sent again with its key is answered as before; with another file under the key it is refused", async () => {
    const again = await send(manifestOf(), files, key);
    expect([again.status, again.headers["idempotency-replayed"]]).toEqual([200, "?1"]);
    expect(again.body).toEqual(first.body);
    const [, ...rest] = files;
    const other = await send(manifestOf(), [["a.csv", another(8)], ...rest], key);
    expect([other.status, other.body.type]).toEqual([422, "/problems/idempotency-key-reused"]);
  });

  it("sent again without a key finds the runs that there are", async () => {
    const again = await send(manifestOf(), files);
    expect(outcomes(again.items).filter(([, status]) => status === 200)).toEqual([
      ["b.csv", 200, "processed"],
      ["a.csv", 200, "processed"],
    ]);
    expect(again.items.map(({ run }) => run?.id)).toEqual(first.items.map(({ run }) => run?.id));
  });

  it("that meets a fault of the service stores the others, and is done again under its key", async () => {
    await app.database.$executeRaw`
      CREATE FUNCTION fail() RETURNS TRIGGER LANGUAGE plpgsql AS $$ BEGIN RAISE EXCEPTION 'on purpose'; END $$`;
    await app.database.$executeRaw`
      CREATE TRIGGER fail BEFORE INSERT ON run FOR EACH ROW WHEN (NEW.file_name = 'fault.csv') EXECUTE FUNCTION fail()`;
    const sent = { runs: [entry("fault.csv"), entry("beside.csv")] };
    const logs: Files = [
      ["fault.csv", another(10)],
      ["beside.csv", another(11)],
    ];
    const fresh = { "idempotency-key": `"${randomUUID()}"` };
    const failed = await send(sent, logs, fresh);
    expect([failed.status, failed.body.type]).toEqual([500, "/problems/internal-error"]);
    await app.database.$executeRaw`DROP TRIGGER fail ON run`;
    const again = await send(sent, logs, fresh);
    expect(outcomes(again.items)).toEqual([
      ["fault.csv", 201, "processed"],
      ["beside.csv", 200, "processed"],
    ]);
  });

  it("refuses a log of more than 64 MiB, and stores the others", async () => {
    const large = new Uint8Array(64 * MIB + 1).fill(0x20);
    const answer = await send({ runs: [entry("large.csv"), entry("fine.csv")] }, [
      ["large.csv", large],
      ["fine.csv", another(9)],
    ]);
    expect(outcomes(answer.items)).toEqual([
      ["large.csv", 413, "too-large"],
      ["fine.csv", 201, "processed"],
    ]);
  });
});

describe("a large batch", () => {
  // What is looked at is that the runs are stored; whoever evaluates them does so run by run.
  let storing: TestApp;
  beforeAll(async () => {
    storing = await startTestApp({ runsJobs: false, waitSeconds: 0 });
  });
  afterAll(() => storing.close());

  it("takes fifty runs", async () => {
    const names = Array.from({ length: 50 }, (_, n) => `run-${n}.csv`);
    const session = await storing.signIn("anna");
    const { packId: _, ...registered } = await register(storing, session, "Batch", found);
    const many = await send(
      { runs: names.map((file) => ({ ...entry(file), ...registered })) },
      names.map((name, n) => [name, another(100 + n)]),
      session,
      storing,
    );
    expect(many.items.map(({ file }) => file)).toEqual(names);
    expect(new Set(many.items.map(({ status }) => status))).toEqual(new Set([202]));
    expect(new Set(many.items.map(({ run }) => run?.id)).size).toBe(50);
    expect(await storing.database.run.count()).toBe(50);
  });
});

describe("a batch as a whole is refused", () => {
  const one: Files = [["a.csv", found.log]];

  it.each<[string, unknown, Files, number, string, string | undefined]>([
    ["without a manifest", undefined, one, 422, "invalid-input", "/manifest"],
    ["without runs", {}, one, 422, "invalid-input", "/manifest/runs"],
    ["with no run", { runs: [] }, one, 422, "invalid-input", "/manifest/runs"],
    ["with 51 runs", { runs: Array(51).fill({ file: "a.csv" }) }, one, 422, "invalid-input", "/manifest/runs"],
    ["with a run without a file", { runs: [{}] }, one, 422, "invalid-input", "/manifest/runs/0/file"],
    ["with a run that is none", { runs: [7] }, one, 422, "invalid-input", "/manifest/runs/0/file"],
    ["with more in its manifest", { runs: [{ file: "a.csv" }], x: 1 }, one, 422, "invalid-input", "/manifest/x"],
    ["with 51 logs", { runs: [{ file: "a" }] }, Array(51).fill(["a", new Uint8Array(1)]), 413, "too-large", undefined],
  ])("%s", async (_, manifest, files, status, code, pointer) => {
    const { body, ...answer } = await send(manifest, files);
    expect([answer.status, body.type]).toEqual([status, `/problems/${code}`]);
    expect(body.errors?.[0]?.pointer).toBe(pointer);
  });

  it("without a session", async () => {
    const answer = await request(app.url).post("/v1/runs/batch").field("manifest", "{}");
    expect(answer.status).toBe(401);
  });

  const open = (more: object) =>
    httpRequest(`${app.url}/v1/runs/batch`, {
      method: "POST",
      headers: { ...headers, "content-type": "multipart/form-data; boundary=b", ...more },
    }).on("error", () => undefined);
  const statusOf = async (sent: ReturnType<typeof httpRequest>) =>
    ((await once(sent, "response")) as [IncomingMessage])[0].statusCode;

  it("when it says that it is larger than all logs may be, before anything is read", async () => {
    const sent = open({ "content-length": 300 * MIB });
    const answered = statusOf(sent);
    sent.flushHeaders();
    expect(await answered).toBe(413);
    sent.destroy();
  });

  it("as soon as all logs together are larger, when it does not say so", async () => {
    const sent = open({ "transfer-encoding": "chunked" });
    const answered = statusOf(sent);
    let ended = false;
    void answered.then(() => {
      ended = true;
    });
    const chunk = Buffer.alloc(MIB, 0x20);
    let mib = 0;
    for (let n = 0; !ended && n < 6; n++) {
      sent.write(`--b\r\ncontent-disposition: form-data; name="log"; filename="${n}.csv"\r\n\r\n`);
      for (let part = 0; !ended && part < 60; part++, mib++) {
        if (!sent.write(chunk)) await Promise.race([once(sent, "drain"), answered]);
      }
      sent.write("\r\n");
    }
    expect(await answered).toBe(413);
    expect(mib).toBeGreaterThanOrEqual(256);
    sent.destroy();
  });
});
