import { on, once } from "node:events";
import { afterAll, beforeAll, expect, it } from "@jest/globals";
import WebSocket from "ws";
import { startTestApp, type TestApp } from "../../../../test/support/app.js";
import { readConfig } from "../../config/config.js";

let app: TestApp;
const opened: WebSocket[] = [];
beforeAll(async () => {
  const { trustedProxies } = readConfig({ TRUST_PROXY: "loopback" });
  app = await startTestApp({ trustedProxies, addressRequestsPerMinute: 5, accountRequestsPerMinute: 7 });
});
afterAll(async () => {
  for (const socket of opened) socket.terminate();
  await app.close();
});

/** Subscribes again and again over one socket from an address. @returns what each was answered */
async function subscribe(address: string, times: number, session: Record<string, string> = {}): Promise<string[]> {
  const headers = { "x-forwarded-for": address, ...session };
  const socket = new WebSocket(`${app.url.replace("http", "ws")}/graphql`, ["graphql-transport-ws"], { headers });
  opened.push(socket);
  const messages = on(socket, "message");
  const next = async () => JSON.parse(String((await messages.next()).value?.[0]));
  await once(socket, "open");
  socket.send(JSON.stringify({ type: "connection_init" }));
  expect(await next()).toEqual({ type: "connection_ack" });
  const query = 'subscription { runProgress(id: "00000000-0000-7000-8000-000000000000") { stage } }';
  const codes: string[] = [];
  for (let id = 0; id < times; id++) {
    socket.send(JSON.stringify({ id: String(id), type: "subscribe", payload: { query } }));
    const { type, payload } = await next();
    codes.push((type === "error" ? payload : payload.errors)[0].extensions.code);
    if (type === "next") expect(await next()).toMatchObject({ type: "complete" });
  }
  return codes;
}

const [UNKNOWN, REFUSED] = ["not-found", "too-many-requests"];

// What comes over a socket would else be held by nothing but the messages of each socket.
it("a subscription is counted under its address as a request is, and so is the opening of its socket", async () => {
  expect(await subscribe("192.0.2.62", 6)).toEqual([...Array(4).fill(UNKNOWN), REFUSED, REFUSED]);
});

it("a subscription with a session is counted under the account, wherever that asks from", async () => {
  const session = await app.signIn("listener");
  const codes = await subscribe("192.0.2.63", 9, session);
  expect([codes[0], codes.at(-1)]).toEqual([UNKNOWN, REFUSED]);
  const { statusCode } = await app.inject({ url: "/v1/packs", headers: session, remoteAddress: "192.0.2.64" });
  expect(statusCode).toBe(429);
});
