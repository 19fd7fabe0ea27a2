import type { Server } from "node:http";
import type { Socket } from "node:net";
import { networkOf, readIpAddress } from "../../client/ip-address.js";
import { proxyTest } from "../../client/trusted-proxies.js";
import type { Config } from "../../config/config.js";

/** Connections open at once, from wherever. */
const MAX_CONNECTIONS = 8_192;
/** How long the head of a request may take to arrive, ms. */
const HEADERS_MS = 20_000;
/** How long a whole request may take to arrive, ms: 64 MiB at 2 Mbit/s. */
const REQUEST_MS = 300_000;
/** How often it is looked whether one takes longer, ms. */
const CHECK_MS = 5_000;
/** Beyond the longest wait of an answer, nothing may go over a connection for so long, ms. */
const SILENCE_MS = 120_000;
/** A batch waits so much longer for its figures than an upload. */
const BATCH_WAITS = 4;

/** How long a client may keep a connection busy without saying or taking anything. */
export function timeoutsOf({ waitSeconds }: Config) {
  return {
    connectionTimeout: BATCH_WAITS * waitSeconds * 1_000 + SILENCE_MS,
    requestTimeout: REQUEST_MS,
    http: { headersTimeout: HEADERS_MS, connectionsCheckingInterval: CHECK_MS },
  };
}

/** Closes connections at once of which an address that is no trusted proxy's has too many. */
export function limitConnections(server: Server, { connectionsPerAddress, trustedProxies }: Config): void {
  server.maxConnections = MAX_CONNECTIONS;
  const isProxy = proxyTest(trustedProxies) || (() => false);
  const open = new Map<string, number>();
  server.on("connection", (socket: Socket) => {
    const address = readIpAddress(socket.remoteAddress ?? "");
    if (address === null || isProxy(address, 0)) return;
    const network = networkOf(address);
    const count = (open.get(network) ?? 0) + 1;
    if (count > connectionsPerAddress) {
      socket.destroy();
      return;
    }
    open.set(network, count);
    socket.once("close", () => {
      const left = (open.get(network) ?? 0) - 1;
      if (left > 0) open.set(network, left);
      else open.delete(network);
    });
  });
}
