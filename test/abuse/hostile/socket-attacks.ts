import { once } from "node:events";
import { setTimeout as delay } from "node:timers/promises";
import { Answers, type Attack } from "./attack.js";

const SUBSCRIPTION = 'subscription { runProgress(id: "00000000-0000-7000-8000-000000000000") { stage } }';
const PROTOCOL = "graphql-transport-ws";
const INIT = JSON.stringify({ type: "connection_init" });
/** How long a socket is waited for that the service leaves open. */
const PATIENCE_MS = 15_000;

const subscribe = (id: number, query = SUBSCRIPTION) =>
  JSON.stringify({ id: String(id), type: "subscribe", payload: { query } });

type Use = (socket: WebSocket) => void | Promise<void>;

/** How many messages are sent before the attacker looks at what came back. */
const AT_ONCE = 200;

/** Opens a socket and does something with it; resolves with the code with which it was closed, or that it was left open. */
function withSocket(base: string, use: Use, protocol = PROTOCOL): Promise<string> {
  return new Promise((resolve) => {
    const socket = new WebSocket(`${base.replace("http", "ws")}/graphql`, protocol);
    let isOpen = false;
    let patience: NodeJS.Timeout | undefined;
    socket.addEventListener("open", () => {
      isOpen = true;
      patience = setTimeout(() => {
        resolve("left open");
        socket.close();
      }, PATIENCE_MS);
      void use(socket);
    });
    socket.addEventListener("close", ({ code }) => {
      clearTimeout(patience);
      resolve(isOpen ? `closed ${code}` : "refused");
    });
  });
}

function onSockets(name: string, sockets: number, use: Use, protocol?: string): Attack {
  return {
    name,
    async attack(base) {
      const answers = new Answers();
      await Promise.all(
        Array.from({ length: sockets }, async () => answers.add(await withSocket(base, use, protocol))),
      );
      return answers.outcome();
    },
  };
}

async function sendAll(socket: WebSocket, messages: number, message: (index: number) => string): Promise<void> {
  for (let index = 0; index < messages && socket.readyState === WebSocket.OPEN; index++) {
    socket.send(message(index));
    if (index % AT_ONCE === 0) await delay(1);
  }
}

/** Waits to be let in, as the protocol wants it. */
async function introduce(socket: WebSocket): Promise<void> {
  const answer = once(socket, "message");
  socket.send(INIT);
  await answer;
}

export const socketAttacks: readonly Attack[] = [
  onSockets("20,000 subscriptions over one socket", 1, async (socket) => {
    await introduce(socket);
    await sendAll(socket, 20_000, subscribe);
  }),
  onSockets(
    "20,000 subscriptions over one socket, in the older words",
    1,
    async (socket) => {
      await introduce(socket);
      await sendAll(socket, 20_000, (id) => subscribe(id).replace('"subscribe"', '"start"'));
    },
    "graphql-ws",
  ),
  onSockets("1,500 sockets that say nothing", 1_500, () => {}),
  onSockets("50 sockets that never cease to introduce themselves", 50, (socket) => sendAll(socket, 1_000, () => INIT)),
  onSockets("pings without end", 10, async (socket) => {
    await introduce(socket);
    await sendAll(socket, 20_000, () => JSON.stringify({ type: "ping", payload: { text: "x".repeat(1_000) } }));
  }),
  onSockets("messages of a mebibyte", 20, (socket) => sendAll(socket, 20, () => "x".repeat(1024 * 1024))),
  onSockets("subscriptions whose documents are wrong", 20, async (socket) => {
    await introduce(socket);
    await sendAll(socket, 5_000, (id) => subscribe(id, `subscription { ${"runProgress { a } ".repeat(1_000)} }`));
  }),
  {
    name: "sockets that are opened and dropped",
    async attack(base) {
      const answers = new Answers();
      for (let round = 0; round < 20; round++) {
        const opened = Array.from({ length: 50 }, () => withSocket(base, (socket) => socket.close()));
        for (const answer of await Promise.all(opened)) answers.add(answer);
        await delay(10);
      }
      return answers.outcome();
    },
  },
];
