import { once } from "node:events";
import type { AddressInfo } from "node:net";
import { setTimeout as delay, setImmediate } from "node:timers/promises";
import websocket from "@fastify/websocket";
import { afterEach, describe, expect, it } from "@jest/globals";
import { type FastifyInstance, fastify } from "fastify";
import { buildSchema } from "graphql";
import WebSocket from "ws";
import type { CredentialReader } from "../../auth/account.js";
import { SOCKET_LIMITS, type SocketLimits, SocketServer } from "./socket-server.js";

const EVENT_BYTES = 64 * 1024;
/** What the system holds of a connection on its two ends (tcp(7): tcp_rmem and tcp_wmem of some MiB), with room. */
const MAX_PRODUCED_BYTES = 64 * 1024 * 1024;

let server: FastifyInstance;
const opened: WebSocket[] = [];
afterEach(async () => {
  for (const socket of opened.splice(0)) socket.terminate();
  await server.close();
});

/** Events without end, until nobody wants them any more. */
class Events {
  produced = 0;
  readonly ended = Promise.withResolvers<void>();

  async *subscribe() {
    try {
      for (;;) {
        this.produced += EVENT_BYTES;
        yield { events: "x".repeat(EVENT_BYTES) };
        // Events come from elsewhere: between two of them the process does other things.
        await setImmediate();
      }
    } finally {
      this.ended.resolve();
    }
  }
}

/** Events that come now and then. */
class SlowEvents extends Events {
  static readonly EVERY_MS = 10;

  override async *subscribe() {
    for (;;) {
      await delay(SlowEvents.EVERY_MS);
      yield { events: "x" };
    }
  }
}

async function serve(limits: Partial<SocketLimits>, events = new Events()): Promise<string> {
  const schema = buildSchema("type Query { a: Int } type Subscription { events: String }");
  const field = schema.getSubscriptionType()?.getFields().events;
  if (field) field.subscribe = () => events.subscribe();
  // The account of a credential is named by its first letter.
  const credentials = { callerOf: async ([name]: string) => ({ id: name }) } as unknown as CredentialReader;
  const sockets = new SocketServer(
    () => schema,
    () => credentials,
    () => ({ count: async () => {}, refuseTooMany: () => {} }),
    { ...SOCKET_LIMITS, ...limits },
  );
  server = fastify();
  await server.register(websocket, { options: { handleProtocols: ([first]: Set<string>) => first ?? false } });
  server.get("/graphql", { websocket: true }, (socket, request) => sockets.serve(socket, request));
  await server.listen({ port: 0, host: "127.0.0.1" });
  return `ws://127.0.0.1:${(server.server.address() as AddressInfo).port}/graphql`;
}

/** Opens a socket, introduces it, and resolves when it was let in or closed: with the code of that. */
async function enter(address: string, account?: string): Promise<{ socket: WebSocket; code: number | null }> {
  const socket = new WebSocket(address, ["graphql-transport-ws"]);
  opened.push(socket);
  await once(socket, "open");
  const payload = account ? { authorization: `Bearer ${account.repeat(43)}` } : {};
  socket.send(JSON.stringify({ type: "connection_init", payload }));
  const code = await Promise.race([
    once(socket, "message").then(() => null),
    once(socket, "close").then(([closed]) => Number(closed)),
  ]);
  return { socket, code };
}

describe("a socket", () => {
  it("whose client does not read is ended, and little is made for it meanwhile", async () => {
    const events = new Events();
    const { socket } = await enter(await serve({ pingEveryMs: 200 }, events));
    socket.send(JSON.stringify({ id: "1", type: "subscribe", payload: { query: "subscription { events }" } }));
    socket.pause();
    await events.ended.promise;
    expect(events.produced).toBeGreaterThan(0);
    expect(events.produced).toBeLessThan(MAX_PRODUCED_BYTES);
  });

  it("that waits for nothing is closed after its time", async () => {
    const { socket, code } = await enter(await serve({ idleMs: 100 }));
    expect(code).toBeNull();
    const [closed, reason] = await once(socket, "close");
    // RFC 6455, 7.4.1: the purpose of the connection has been fulfilled.
    expect([closed, String(reason)]).toEqual([1000, "Idle"]);
  });

  it.each(["query { a }", "subscription { colour }"])(
    "whose only operation is refused, %s, waits for nothing",
    async (query) => {
      const { socket } = await enter(await serve({ idleMs: 100 }));
      socket.send(JSON.stringify({ id: "1", type: "subscribe", payload: { query } }));
      const [closed, reason] = await once(socket, "close");
      expect([closed, String(reason)]).toEqual([1000, "Idle"]);
    },
  );

  it("that waits for one thing stays open when its client has ended another, and until it has ended both", async () => {
    const { socket } = await enter(await serve({ idleMs: 100 }, new SlowEvents()));
    const of: string[] = [];
    socket.on("message", (data) => of.push(JSON.parse(String(data)).id));
    for (const id of ["1", "2"]) {
      socket.send(JSON.stringify({ id, type: "subscribe", payload: { query: "subscription { events }" } }));
    }
    socket.send(JSON.stringify({ id: "1", type: "complete" }));
    const heard = () => of.filter((id) => id === "2").length;
    while (heard() < 50 && socket.readyState === socket.OPEN) await delay(SlowEvents.EVERY_MS);
    expect(heard()).toBeGreaterThanOrEqual(50);
    socket.send(JSON.stringify({ id: "2", type: "complete" }));
    expect((await once(socket, "close"))[0]).toBe(1000);
  });

  it("is one of few of an account, whatever others have", async () => {
    const address = await serve({ ofAccount: { ofOne: 2, ofAll: 100 } });
    const first = await enter(address, "a");
    expect([first.code, (await enter(address, "a")).code]).toEqual([null, null]);
    // PROTOCOL.md of the graphql-ws project: 4403 Forbidden.
    expect((await enter(address, "a")).code).toBe(4403);
    expect([(await enter(address, "b")).code, (await enter(address)).code]).toEqual([null, null]);
    first.socket.close();
    await once(first.socket, "close");
    let again: number | null = 4403;
    // The server hears a moment later that the first is closed.
    while (again !== null) again = (await enter(address, "a")).code;
  });
});
