import { createServer, type RequestListener, type Server } from "node:http";
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
/** How long a connection is kept on which nothing is asked, ms. */
const KEEP_ALIVE_MS = 72_000;
/** Requests of one connection that may wait for their answers at once. */
const MAX_PIPELINED = 32;
/** A batch waits so much longer for its figures than an upload. */
const BATCH_WAITS = 4;

/** A server of HTTP whose connections are held to their limits: how long, how many of an address, how many requests at once. */
export function makeLimitedServer(config: Config, handler: RequestListener): Server {
  const options = {
    headersTimeout: HEADERS_MS,
    requestTimeout: REQUEST_MS,
    keepAliveTimeout: KEEP_ALIVE_MS,
    connectionsCheckingInterval: CHECK_MS,
  };
  const server = createServer(options, limitPipelining(handler));
  server.setTimeout(BATCH_WAITS * config.waitSeconds * 1_000 + SILENCE_MS);
  limitConnections(server, config);
  return server;
}

/**
 * Ends a connection on which too many requests wait, with the answer to the last that is taken: a client sends the others again on a new one
 * (RFC 9112, 9.3.2). Node reads hundreds of requests at a time, and everybody would wait until all of them are refused.
 */
function limitPipelining(handler: RequestListener): RequestListener {
  const waiting = new WeakMap<Socket, number>();
  return (request, response) => {
    const { socket } = request;
    const count = (waiting.get(socket) ?? 0) + 1;
    if (count > MAX_PIPELINED) return;
    if (count === MAX_PIPELINED) {
      response.shouldKeepAlive = false;
      waiting.set(socket, Number.POSITIVE_INFINITY);
    } else {
      waiting.set(socket, count);
      response.once("close", () => waiting.set(socket, (waiting.get(socket) ?? 1) - 1));
    }
    handler(request, response);
  };
}

/** Closes connections at once of which an address that is no trusted proxy's has too many. */
function limitConnections(server: Server, { connectionsPerAddress, trustedProxies }: Config): void {
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
