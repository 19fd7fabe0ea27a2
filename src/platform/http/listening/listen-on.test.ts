import { once } from "node:events";
import { createServer } from "node:http";
import type { AddressInfo } from "node:net";
import { afterEach, beforeEach, expect, it } from "@jest/globals";
import { addressesOf, listenOn } from "./listen-on.js";

let server: ReturnType<typeof createServer>;
beforeEach(() => {
  server = createServer((request, response) => response.end(request.url));
});
afterEach(() => {
  server.close();
});

const port = () => (server.address() as AddressInfo).port;
const ask = async (host: string) => (await fetch(`http://${host}:${port()}/here`)).text();

it("answers on every address that can be had, and on none once it is closed", async () => {
  // RFC 1122, 3.2.1.3: all of 127/8 is this machine; RFC 5737, 3: 192.0.2/24 is nobody's.
  await listenOn(server, ["127.0.0.1", "127.0.0.2", "192.0.2.1"], 0);
  const at = port();
  expect([await ask("127.0.0.1"), await ask("127.0.0.2")]).toEqual(["/here", "/here"]);
  await new Promise((closed) => server.close(closed));
  for (const host of ["127.0.0.1", "127.0.0.2"]) await expect(fetch(`http://${host}:${at}/`)).rejects.toThrow();
});

it("closing waits for an answer on its way, on whichever address", async () => {
  server.removeAllListeners("request");
  await listenOn(server, ["127.0.0.1", "127.0.0.2"], 0);
  const asked = fetch(`http://127.0.0.2:${port()}/`);
  const [, response] = await once(server, "request");
  let isClosed = false;
  const closed = new Promise((ended) => server.close(ended)).then(() => {
    isClosed = true;
  });
  await new Promise((later) => setTimeout(later, 50));
  expect(isClosed).toBe(false);
  response.end("late");
  expect(await (await asked).text()).toBe("late");
  server.closeIdleConnections();
  await closed;
});

it("says that the first address is taken", async () => {
  await listenOn(server, ["127.0.0.1"], 0);
  await expect(listenOn(createServer(), ["127.0.0.1"], port())).rejects.toMatchObject({ code: "EADDRINUSE" });
});

// RFC 6761, 6.3: localhost names resolve to loopback addresses.
it("localhost is loopback addresses, anything else itself", async () => {
  const addresses = await addressesOf("localhost");
  expect(addresses).not.toEqual([]);
  for (const address of addresses) expect(address).toMatch(/^(127\.\d+\.\d+\.\d+|::1)$/);
  expect(await addressesOf("192.0.2.1")).toEqual(["192.0.2.1"]);
});
