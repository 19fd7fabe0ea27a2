import { once } from "node:events";
import { afterAll, afterEach, beforeAll, describe, expect, it } from "@jest/globals";
import WebSocket from "ws";
import { startTestApp, type TestApp } from "../../../../test/support/app.js";

let app: TestApp;
const opened: WebSocket[] = [];
beforeAll(async () => {
  app = await startTestApp();
});
afterEach(() => {
  for (const socket of opened.splice(0)) socket.terminate();
});
afterAll(() => app.close());

// PROTOCOL.md of the graphql-ws project: the sub-protocol graphql-transport-ws, its messages and its closing codes.
const NEWER = "graphql-transport-ws";
// PROTOCOL.md of the subscriptions-transport-ws project: the older one, which is named graphql-ws.
const OLDER = "graphql-ws";

async function open(protocol: string | undefined = NEWER): Promise<WebSocket> {
  const socket = new WebSocket(`${app.url.replace("http", "ws")}/graphql`, protocol ? [protocol] : []);
  opened.push(socket);
  await once(socket, "open");
  return socket;
}

const send = (socket: WebSocket, ...messages: object[]) => {
  for (const message of messages) socket.send(JSON.stringify(message));
};
const closing = async (socket: WebSocket) => Number((await once(socket, "close"))[0]);
const message = async (socket: WebSocket) => JSON.parse(String((await once(socket, "message"))[0]));
async function openReady(protocol?: string): Promise<WebSocket> {
  const socket = await open(protocol);
  send(socket, { type: "connection_init" });
  expect(await message(socket)).toEqual({ type: "connection_ack" });
  return socket;
}
const RUN = "00000000-0000-7000-8000-000000000000";
const subscribe = (id: string, query = `subscription { runProgress(id: "${RUN}") { stage } }`) => ({
  id,
  type: "subscribe",
  payload: { query },
});

describe("a socket is closed with the code of its protocol", () => {
  it("4400 when it sends no message of the protocol", async () => {
    const socket = await open();
    socket.send("{ not JSON");
    expect(await closing(socket)).toBe(4400);
  });

  it("4401 when it subscribes before it has introduced itself", async () => {
    const socket = await open();
    send(socket, subscribe("1"));
    expect(await closing(socket)).toBe(4401);
  });

  // PROTOCOL.md, "ConnectionInit": refused by an event of closing, 4403: Forbidden.
  it.each([
    ["a session that has ended or never was", { authorization: `Bearer ${"a".repeat(43)}` }],
    ["a key that never was", { headers: { authorization: `Bearer pl_key_${"b".repeat(43)}` } }],
    ["what cannot be one", { authorization: "Basic bmFtZTpwYXNz" }],
  ])("4403 when it introduces itself with %s", async (_, payload) => {
    for (const protocol of [NEWER, OLDER]) {
      const socket = await open(protocol);
      send(socket, { type: "connection_init", payload });
      expect(await Promise.race([closing(socket), message(socket)])).toBe(4403);
    }
  });

  it("4406 when it speaks no sub-protocol", async () => {
    expect(await closing(await open(""))).toBe(4406);
  });

  it("4408 when it does not introduce itself", async () => {
    expect(await closing(await open())).toBe(4408);
  });

  it("4429 when it introduces itself twice", async () => {
    const socket = await openReady();
    send(socket, { type: "connection_init" });
    expect(await closing(socket)).toBe(4429);
  });

  it("1009 when a message is too large (RFC 6455, 7.4.1)", async () => {
    const socket = await openReady();
    socket.on("error", () => {});
    socket.send("x".repeat(100_000));
    expect([1006, 1009]).toContain(await closing(socket));
  });

  it.each([NEWER, OLDER])("when it says too much at once, in %s", async (protocol) => {
    const socket = await openReady(protocol);
    socket.on("error", () => {});
    let answers = 0;
    socket.on("message", () => answers++);
    for (let id = 0; id < 5_000; id++) {
      send(socket, { ...subscribe(String(id)), type: protocol === OLDER ? "start" : "subscribe" });
    }
    expect([1006, 4429]).toContain(await closing(socket));
    expect(answers).toBeLessThan(200);
  });
});

describe("a subscription", () => {
  it("is answered for what is not there, and the socket stays", async () => {
    const socket = await openReady();
    send(socket, subscribe("1"));
    const { id, payload } = await message(socket);
    expect([id, (payload.errors ?? payload)[0].extensions.code]).toEqual(["1", "not-found"]);
    send(socket, { type: "ping" });
    const seen: string[] = [];
    while (!seen.includes("pong")) seen.push((await message(socket)).type);
  });

  it.each([
    ["a field that no type has", "subscription { colour }", "malformed-query"],
    ["a mistake in its grammar", "subscription {", "malformed-query"],
    ["a query", "{ me { id } }", "malformed-query"],
    [
      "more than it may",
      `subscription { runProgress(id: "${RUN}") { ${"a: stage ".repeat(1_000)} } }`,
      "malformed-query",
    ],
  ])("is refused: %s", async (_, query, code) => {
    const socket = await openReady();
    send(socket, subscribe("1", query));
    const { type, payload } = await message(socket);
    expect([type, payload[0].extensions.code]).toEqual(["error", code]);
  });

  // GraphQL, September 2025, 5.2.4.1 (from memory).
  it.each([
    ["its field", `subscription { runProgress(id: "${RUN}") @skip(if: true) { stage } }`],
    ["what includes its field", `subscription { ... @include(if: false) { runProgress(id: "${RUN}") { stage } } }`],
    [
      "what spreads its field",
      `subscription ($no: Boolean = false) { ...Of @include(if: $no) } fragment Of on Subscription { runProgress(id: "${RUN}") { stage } }`,
    ],
    ["a fragment that spreads itself", "subscription { ...Of } fragment Of on Subscription { ...Of @skip(if: true) }"],
  ])("is refused with conditions on %s, and the socket with its other subscriptions stays", async (_, query) => {
    const socket = await openReady();
    send(socket, subscribe("1", query));
    const { type, payload } = await message(socket);
    expect([type, payload[0].extensions.code, payload[0].message]).toEqual([
      "error",
      "malformed-query",
      "A subscription takes neither @skip nor @include at its root. Leave the field out, or do not send the subscription.",
    ]);
    send(socket, subscribe("2", `subscription { runProgress(id: "${RUN}") { stage @include(if: true) } }`));
    expect(await message(socket)).toMatchObject({ id: "2" });
  });

  it("is understood in the older sub-protocol, in its words", async () => {
    const socket = await openReady(OLDER);
    send(socket, { ...subscribe("1"), type: "start" });
    const { type, id } = await message(socket);
    expect(["data", "error"]).toContain(type);
    expect(id).toBe("1");
    send(socket, { type: "connection_terminate" });
    expect(await closing(socket)).toBe(1000);
  });
});
