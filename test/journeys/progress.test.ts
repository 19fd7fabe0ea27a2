import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import type { NestFastifyApplication } from "@nestjs/platform-fastify";
import { EventSourceParserStream } from "eventsource-parser/stream";
import { startApp } from "../../src/create-app.js";
import { STAGES } from "../../src/features/runs/progress/progress.js";
import { readConfig } from "../../src/platform/config/config.js";
import { startTestApp, type TestApp } from "../support/app.js";
import { cutConnections } from "../support/database.js";
import { openGraphqlSocket } from "../support/graphql-socket.js";
import { inRestWords } from "../support/graphql-words.js";
import { logCase, uploadCase } from "../support/uploads.js";

interface Progress {
  readonly stage: string;
  readonly done: number;
  readonly total: number;
}

let app: TestApp;
let headers: { authorization: string };
let bytes: number;
// The service of this test leaves the queue alone, so that every run waits until a worker comes.
beforeAll(async () => {
  app = await startTestApp({ runsJobs: false, waitSeconds: 0, connectionsPerAddress: 1_000 });
  headers = await app.signIn("anna");
  bytes = logCase("truth-4s-10hz").log.length;
});
afterAll(() => app.close());

/** Another process would do the same: an application of its own, on the same database. */
async function withWorker<T>(work: () => Promise<T>): Promise<T> {
  const config = readConfig({ LOG_LEVEL: "silent", DATABASE_CONNECTIONS: "4" });
  const worker: NestFastifyApplication = await startApp(config, app.database.connectionString);
  try {
    return await work();
  } finally {
    await worker.close();
  }
}

const listen = (id: string, as: Record<string, string> = headers, signal: AbortSignal | null = null) =>
  fetch(`${app.url}/v1/runs/${id}/events`, { headers: as, signal });

/** The data of server-sent events, as the HTML standard reads them (9.2.6), as they come. */
async function* eventsOf(response: Response): AsyncGenerator<Progress> {
  const text = (response.body as ReadableStream<Uint8Array>).pipeThrough(new TextDecoderStream());
  for await (const { data } of text.pipeThrough(new EventSourceParserStream())) yield JSON.parse(data);
}

/** A run in the queue, since no worker comes. */
async function queuedRun(name: string): Promise<string> {
  const { status, body } = await uploadCase(app, headers, name, "truth-4s-10hz");
  expect([status, body.state]).toEqual([202, "queued"]);
  return body.id;
}

function expectWholeStory(events: readonly Progress[]): void {
  expect(events[0]).toEqual({ stage: "queued", done: 0, total: bytes });
  expect(events.at(-1)).toEqual({ stage: "processed", done: bytes, total: bytes });
  const ranks = events.map(({ stage }) => (STAGES as readonly string[]).indexOf(stage));
  expect(ranks).toEqual([...ranks].sort((a, b) => a - b));
  expect(new Set(events.map(({ stage }) => stage)).size).toBeGreaterThan(2);
}

describe("server-sent events of a run", () => {
  it("tell what another process does with it, from the queue to the figures, and end", async () => {
    const id = await queuedRun("Sprint");
    const response = await listen(id);
    expect(response.headers.get("content-type")).toBe("text/event-stream; charset=utf-8");
    const events: Progress[] = [];
    const reading = eventsOf(response);
    events.push((await reading.next()).value as Progress);
    await withWorker(async () => {
      for await (const event of reading) events.push(event);
    });
    expectWholeStory(events);
    const again: Progress[] = [];
    for await (const event of eventsOf(await listen(id))) again.push(event);
    expect(again).toEqual([{ stage: "processed", done: bytes, total: bytes }]);
  });

  // HTML standard, 9.2.3: a client that is answered 204 fails its connection and connects no more.
  it("end for good: whoever has seen the end and connects again is answered 204", async () => {
    const id = await queuedRun("Sprint 1");
    const seen = (lastEventId: string) => listen(id, { ...headers, "last-event-id": lastEventId });
    const early = new AbortController();
    const before = await listen(id, { ...headers, "last-event-id": "processed" }, early.signal);
    expect(before.status).toBe(200);
    early.abort();
    await withWorker(async () => {
      for await (const _ of eventsOf(await listen(id)));
    });
    const last = await seen("queued");
    expect(await last.text()).toBe(`id: processed\ndata: {"stage":"processed","done":${bytes},"total":${bytes}}\n\n`);
    for (const lastEventId of ["processed", "1"]) {
      const after = await seen(lastEventId);
      expect([after.status, await after.text()]).toEqual([204, ""]);
    }
    expect((await listen(id, { "last-event-id": "processed" })).status).toBe(404);
  });

  it("go on after every connection to the database was cut", async () => {
    const id = await queuedRun("Sprint 2");
    const reading = eventsOf(await listen(id));
    expect((await reading.next()).value).toMatchObject({ stage: "queued" });
    await cutConnections(app.database.connectionString);
    const rest: Progress[] = [];
    await withWorker(async () => {
      for await (const event of reading) rest.push(event);
    });
    expect(rest.at(-1)).toMatchObject({ stage: "processed" });
  });

  it("are for those alone who may see the run", async () => {
    const id = await queuedRun("Sprint 3");
    for (const as of [{}, await app.signIn("bert")]) {
      const answer = await listen(id, as);
      expect([answer.status, await answer.json()]).toMatchObject([404, { type: "/problems/not-found" }]);
    }
    expect((await listen("nothing")).status).toBe(404);
  });

  it("are bounded, and a listener that went away makes room", async () => {
    const id = await queuedRun("Sprint 4");
    const going = new AbortController();
    const first = await Promise.all(Array.from({ length: 256 }, () => listen(id, headers, going.signal)));
    await Promise.all(first.map((response) => eventsOf(response).next()));
    const refused = await listen(id);
    expect([refused.status, await refused.json()]).toMatchObject([503, { type: "/problems/too-many-listeners" }]);
    expect(refused.headers.get("retry-after")).toMatch(/^\d+$/);
    going.abort();
    const staying = new AbortController();
    let response = await listen(id, headers, staying.signal);
    for (let tries = 0; response.status === 503 && tries < 50; tries++)
      response = await listen(id, headers, staying.signal);
    expect(response.status).toBe(200);
    expect((await eventsOf(response).next()).value).toMatchObject({ stage: "queued" });
    staying.abort();
  });
});

describe("the subscription runProgress", () => {
  const query = "subscription($id: ID!) { runProgress(id: $id) { stage done total } }";

  it("tells the same, with the session in connection_init", async () => {
    const id = await queuedRun("Sprint 5");
    const socket = await openGraphqlSocket(app.url, headers);
    const reading = socket.subscribe(query, { id });
    const progressOf = ({ data }: { data?: unknown }) => (inRestWords(data) as { runProgress: Progress }).runProgress;
    const events = [progressOf((await reading.next()).value as { data: unknown })];
    await withWorker(async () => {
      for await (const answer of reading) events.push(progressOf(answer));
    });
    expectWholeStory(events);
    socket.close();
  });

  it.each([
    ["a run that the caller may not see", "not-found", () => app.signIn("carl"), query],
    ["no session", "not-found", async () => ({}), query],
    ["a document that does not fit the schema", "malformed-query", async () => headers, "subscription { colour }"],
  ])("is refused for %s", async (_, code, signIn, document) => {
    const id = await queuedRun(`Sprint ${code} ${_.length}`);
    const socket = await openGraphqlSocket(app.url, await signIn());
    const { value } = await socket.subscribe(document, document === query ? { id } : {}).next();
    expect(value).toMatchObject({ errors: [{ extensions: { code } }] });
    socket.close();
  });
});
