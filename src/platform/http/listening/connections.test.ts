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
