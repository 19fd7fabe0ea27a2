import { once } from "node:events";
import type { Server } from "node:http";
import { connect, type Socket } from "node:net";
import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { startTestApp, type TestApp } from "../../../../test/support/app.js";

const CONNECTIONS = 8;

let app: TestApp;
beforeAll(async () => {
  app = await startTestApp({ connectionsPerAddress: CONNECTIONS });
});
afterAll(() => app.close());

/** A connection from another address of this machine (RFC 1122, 3.2.1.3: all of 127/8 is its own). */
async function open(localAddress: string): Promise<Socket> {
  const { port, hostname } = new URL(app.url);
  const socket = connect({ port: Number(port), host: hostname, localAddress });
  socket.on("error", () => socket.destroy());
  await once(socket, "connect");
  return socket;
}

async function answerOn(socket: Socket, text: string): Promise<string> {
  let answer = "";
  socket.on("data", (bytes) => {
    answer += bytes.toString();
  });
  socket.write(text);
  await once(socket, "close");
  return answer;
}

const LAST_REQUEST = "GET /health/live HTTP/1.1\r\nhost: localhost\r\nconnection: close\r\n\r\n";

describe("connections", () => {
  it("of one address are so many at once, and others come in meanwhile", async () => {
    const held: Socket[] = [];
    for (let i = 0; i < CONNECTIONS; i++) held.push(await open("127.0.0.9"));
    expect(await answerOn(await open("127.0.0.9"), LAST_REQUEST)).toBe("");
    expect(await answerOn(await open("127.0.0.10"), LAST_REQUEST)).toContain("200 OK");
    for (const socket of held) {
      const closed = once(socket, "close");
      socket.destroy();
      await closed;
    }
    let answer = "";
    // The service hears a moment later that they are closed.
    while (!answer) answer = await answerOn(await open("127.0.0.9"), LAST_REQUEST);
    expect(answer).toContain("200 OK");
  });

  it("of more requests than 32 that wait are closed with the answer to the last that is taken", async () => {
    const request = "GET /health/live HTTP/1.1\r\nhost: localhost\r\n\r\n";
    const answers = async (count: number, end = "") => {
      const answer = await answerOn(await open("127.0.0.13"), request.repeat(count) + end);
      return answer.match(/HTTP\/1\.1 \d+|connection: [\w-]+/gi);
    };
    const kept = ["HTTP/1.1 200", "Connection: keep-alive"];
    const last = ["HTTP/1.1 200", "Connection: close"];
    expect(await answers(30, LAST_REQUEST)).toEqual([...Array.from({ length: 30 }, () => kept).flat(), ...last]);
    expect(await answers(1_000, LAST_REQUEST)).toEqual([...Array.from({ length: 31 }, () => kept).flat(), ...last]);
  });

  it("take any number of requests one after another", async () => {
    const socket = await open("127.0.0.14");
    for (let i = 0; i < 100; i++) {
      socket.write("HEAD /health/live HTTP/1.1\r\nhost: localhost\r\n\r\n");
      const [answer] = (await once(socket, "data")) as [Buffer];
      expect(answer.toString()).toMatch(/^HTTP\/1\.1 200 [\s\S]*keep-alive/);
    }
    socket.destroy();
  });

  it("are closed where the head of a request does not arrive in 20 s (here in one), with 408, and where nothing does", async () => {
    const server: Server = app.nest.getHttpServer();
    expect([server.headersTimeout, server.requestTimeout]).toEqual([20_000, 300_000]);
    server.headersTimeout = 1_000;
    const half = open("127.0.0.11").then((socket) =>
      answerOn(socket, "GET /health/live HTTP/1.1\r\nhost: localhost\r\nx: "),
    );
    const nothing = open("127.0.0.12").then((socket) => answerOn(socket, ""));
    expect(await half).toMatch(/^HTTP\/1\.1 408 /);
    expect(await half).toContain('"type":"/problems/request-timeout"');
    expect(await nothing).toMatch(/^(HTTP\/1\.1 408 |$)/);
  });
});
