import type { Socket } from "node:net";
import { setTimeout as delay } from "node:timers/promises";
import { Answers, type Attack } from "./attack.js";
import { exchange, open, send, statusesIn } from "./http-client.js";

/** A stranger's own address: all of 127/8 is this machine's (RFC 1122, 3.2.1.3). */
const STRANGER = "127.0.0.66";

interface Held {
  readonly socket: Socket;
  answer: string;
}

/** Opens so many connections, writes a little on each again and again, and tells what became of each. Nothing is read where `isRead` is false. */
function heldOpen(
  name: string,
  count: number,
  seconds: number,
  { first = "", drop = "", isRead = true }: { first?: string; drop?: string; isRead?: boolean },
): Attack {
  return {
    name: `${count} x ${name}`,
    async attack(base) {
      const answers = new Answers();
      const held: Held[] = [];
      for (let i = 0; i < count; i++) {
        const socket = await open(base, STRANGER);
        if (!socket) {
          answers.add("refused");
          continue;
        }
        const one: Held = { socket, answer: "" };
        if (isRead) {
          socket.on("data", (bytes) => {
            one.answer += bytes.toString("latin1");
          });
        }
        if (first) socket.write(first);
        held.push(one);
      }
      for (let second = 0; second < seconds; second++) {
        await delay(1_000);
        if (drop) for (const { socket } of held) if (socket.writable) socket.write(drop);
      }
      for (const { socket, answer } of held) {
        const [status] = statusesIn(answer);
        answers.add(status ?? (socket.closed || socket.readableEnded ? "closed" : "still open"));
        socket.destroy();
      }
      return answers.outcome();
    },
  };
}

const POST = "POST /v1/sessions HTTP/1.1\r\nhost: a\r\ncontent-type: application/json\r\n";
const AFTER = "GET /health/live HTTP/1.1\r\nhost: a\r\nconnection: close\r\n\r\n";

/** Requests of which a proxy and a server may disagree where they end (RFC 9112, 11.2), each with another one in it. */
const SMUGGLED: Readonly<Record<string, string>> = {
  "both lengths": `${POST}content-length: 6\r\ntransfer-encoding: chunked\r\n\r\n0\r\n\r\n${AFTER}`,
  "two lengths": `${POST}content-length: 0\r\ncontent-length: 5\r\n\r\n{"a":${AFTER}`,
  "a length twice in one field": `${POST}content-length: 0, 5\r\n\r\n${AFTER}`,
  "a signed length": `${POST}content-length: +5\r\n\r\n{"a":${AFTER}`,
  "chunked not last": `${POST}transfer-encoding: chunked, identity\r\n\r\n0\r\n\r\n${AFTER}`,
  "an unknown coding": `${POST}transfer-encoding: xchunked\r\n\r\n0\r\n\r\n${AFTER}`,
  "a space before the colon": `${POST}content-length : 5\r\n\r\n{"a":${AFTER}`,
  "a folded field": `${POST}transfer-encoding:\r\n chunked\r\n\r\n0\r\n\r\n${AFTER}`,
  "a bare line feed": `${POST}x: a\ntransfer-encoding: chunked\r\n\r\n0\r\n\r\n${AFTER}`,
  "a chunk size too large": `${POST}transfer-encoding: chunked\r\n\r\nfffffffffffffffff\r\n${AFTER}`,
  "an endless chunk extension": `${POST}transfer-encoding: chunked\r\n\r\n1;${"a".repeat(70_000)}\r\n{\r\n0\r\n\r\n`,
  "a body on GET": `GET /health/live HTTP/1.1\r\nhost: a\r\ncontent-length: ${AFTER.length}\r\nconnection: close\r\n\r\n${AFTER}`,
  "no host": "GET /health/live HTTP/1.1\r\n\r\n",
  "two hosts": "GET /health/live HTTP/1.1\r\nhost: a\r\nhost: b\r\nconnection: close\r\n\r\n",
};

const smuggling: Attack = {
  name: "requests inside requests",
  async attack(base) {
    const answers = new Answers();
    for (const [shape, bytes] of Object.entries(SMUGGLED)) {
      const statuses = statusesIn(await exchange(base, bytes, 3_000));
      answers.add(`${shape}: ${statuses.join("+") || "closed"}`);
    }
    return answers.outcome();
  },
};

function pipelined(count: number): Attack {
  return {
    name: `${count} requests on one connection at once`,
    async attack(base) {
      const answers = new Answers();
      const one = "GET /unknown HTTP/1.1\r\nhost: a\r\nx-forwarded-for: 203.0.113.70\r\n\r\n";
      const socket = await open(base, STRANGER);
      if (!socket) return answers.outcome();
      let rest = "";
      let seen = 0;
      const ended = new Promise<void>((resolve) => {
        socket.on("close", resolve);
        socket.on("data", (bytes) => {
          rest += bytes.toString("latin1");
          const statuses = [...rest.matchAll(/HTTP\/1\.1 (\d{3}) /g)].map(([, status = ""]) => status);
          rest = rest.slice(-11);
          for (const status of statuses) answers.add(status);
          seen += statuses.length;
          if (seen >= count) resolve();
        });
      });
      socket.write(one.repeat(count));
      await Promise.race([ended, delay(60_000, null, { ref: false })]);
      socket.destroy();
      return answers.outcome();
    },
  };
}

function hugeHeads(count: number): Attack {
  return {
    name: `${count} x header fields of 8, 15 and 100 KiB`,
    async attack(base) {
      const answers = new Answers();
      for (let i = 0; i < count; i++) {
        for (const kibibytes of [8, 15, 100]) {
          const headers = { "x-long": "a".repeat(kibibytes * 1_024), "x-forwarded-for": "203.0.113.71" };
          answers.add((await send(base, { path: "/v1/packs?first=1", headers })).answer);
        }
      }
      return answers.outcome();
    },
  };
}

/** What is done with connections themselves; `scale` makes them fewer, `seconds` is how long they are held. */
export function connectionAttacks(scale = 1, seconds = 30): readonly Attack[] {
  const times = (count: number) => Math.ceil(count * scale);
  return [
    heldOpen("a connection without a word", times(3_000), seconds, {}),
    heldOpen("a head that comes byte by byte", times(1_500), seconds, {
      first: "GET / HTTP/1.1\r\nhost: a\r\nx: ",
      drop: "a",
    }),
    heldOpen("a body that comes byte by byte", times(1_500), seconds, {
      first: `${POST}content-length: 100000\r\n\r\n`,
      drop: " ",
    }),
    heldOpen("an answer that nobody takes", times(1_500), seconds, {
      first: "GET /openapi.json HTTP/1.1\r\nhost: a\r\n\r\n".repeat(20),
      isRead: false,
    }),
    hugeHeads(times(200)),
    pipelined(times(5_000)),
    smuggling,
  ];
}
