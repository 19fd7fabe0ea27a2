import { randomUUID } from "node:crypto";
import { maxHeaderSize, type RequestListener } from "node:http";
import type { Socket } from "node:net";
import accepts from "@fastify/accepts";
import cookie from "@fastify/cookie";
import multipart from "@fastify/multipart";
import { FastifyAdapter } from "@nestjs/platform-fastify";
import type { FastifyError, FastifyReply, FastifyRequest } from "fastify";
import { proxyTest } from "../../client/trusted-proxies.js";
import { warnOfUnknownProxies } from "../../client/unknown-proxies.js";
import type { Config } from "../../config/config.js";
import { asRead } from "../../database/reads/read-limit.js";
import type { RequestLimits } from "../../limits/request-limits.js";
import type { Metrics } from "../../metrics/metrics.js";
import { serveMetrics } from "../../metrics/serve-metrics.js";
import { answerProblem } from "../../problems/answer.js";
import { Problem } from "../../problems/problem.js";
import { readsFirst } from "../../process/reads-first.js";
import { traceRequests } from "../../tracing/trace-requests.js";
import { addCompression } from "../answers/compression.js";
import { addEntityTags } from "../answers/entity-tag.js";
import { KnownRoutes } from "../headers/allowed-methods.js";
import { addCors, corsFields } from "../headers/cors.js";
import { addSecurityHeaders, SECURITY_FIELDS } from "../headers/security-headers.js";
import { refuseCodedBodies, takeJson } from "../requests/bodies.js";
import { takeForms } from "../requests/form-bodies.js";
import { makeLimitedServer } from "./connections.js";
import type { EarlyServer } from "./early-server.js";

const READS = new Set(["GET", "HEAD"]);
/** What Node reads of the head of a request (`http.maxHeaderSize`). */
const MAX_HEAD_BYTES = maxHeaderSize;
const largestJsonBytes = 256 * 1024;

/**
 * Whether the head of a request is too long by its target (RFC 9110, 15.5.15), and not by its fields (RFC 6585, 5): its first line has no end in what
 * was read. Of a head that comes in pieces only the last is known: that one is told of its fields.
 */
function isInTarget(read: unknown): boolean {
  if (!Buffer.isBuffer(read)) return false;
  const [line = "", ...rest] = read.toString("latin1", 0, MAX_HEAD_BYTES).split("\n");
  return rest.length === 0 && /^[A-Z]+ /.test(line);
}

/** Answers what is not even HTTP, or is it no longer, and closes the connection. */
async function answerBrokenHttp(
  error: Error & { code?: string; rawPacket?: unknown },
  socket: Socket,
  requestLimits: RequestLimits,
  { corsOrigins }: Config,
): Promise<void> {
  if (error.code === "ECONNRESET" || !socket.writable || (await requestLimits.isTooMuch(socket))) {
    socket.destroy();
    return;
  }
  const code =
    error.code === "HPE_HEADER_OVERFLOW"
      ? isInTarget(error.rawPacket)
        ? "address-too-long"
        : "headers-too-large"
      : error.code === "ERR_HTTP_REQUEST_TIMEOUT"
        ? "request-timeout"
        : "malformed-request";
  const problem = new Problem(code, "The request could not be read as HTTP.");
  const requestId = randomUUID();
  const body = JSON.stringify(problem.toBody(requestId));
  const fields = {
    "content-type": "application/problem+json; charset=utf-8",
    "content-length": String(Buffer.byteLength(body)),
    "cache-control": "no-store",
    connection: "close",
    "x-request-id": requestId,
    ...SECURITY_FIELDS,
    ...corsFields(corsOrigins),
  };
  const head = Object.entries(fields).map(([name, value]) => `${name}: ${value}\r\n`);
  socket.end(`HTTP/1.1 ${problem.status} ${problem.title}\r\n${head.join("")}\r\n${body}`);
}

/** A name or an address with a port (RFC 3986, 3.2.2 and 3.2.3), as links may be made of it. */
const HOST = /^(?:\[[\da-f:.]+\]|[\w.~!$&'()*+,;=%-]+)(?::\d*)?$/i;

/** A segment of a path that is a token of 256 bits, as links in mails have it. */
const TOKEN_IN_PATH = /\/[\w-]{43}(?=\/|$)/g;

/** A query may hold what is nobody else's, such as the code of a sign-in, and a path a token: they are not logged. */
function loggerOf({ logLevel }: Config) {
  if (logLevel === "silent") return false;
  const req = ({ method, url, ip }: FastifyRequest) => ({
    method,
    path: url.split("?", 1)[0]?.replace(TOKEN_IN_PATH, "/..."),
    remoteAddress: ip,
  });
  return { level: logLevel, serializers: { req } };
}

/** Nest would answer in its own form what fails before a handler is reached, such as the reading of a body. */
class Adapter extends FastifyAdapter {
  override setErrorHandler(): ReturnType<FastifyAdapter["setErrorHandler"]> {
    return this.getInstance();
  }
}

/** The web server, with what holds for every request of both APIs. */
export function makeServer(
  config: Config,
  requestLimits: RequestLimits,
  metrics: Metrics,
  early?: EarlyServer,
): FastifyAdapter {
  const adapter = new Adapter({
    logger: loggerOf(config),
    genReqId: () => randomUUID(),
    bodyLimit: largestJsonBytes,
    trustProxy: proxyTest(config.trustedProxies),
    serverFactory: (handler: RequestListener) => early?.takenBy(handler) ?? makeLimitedServer(config, handler),
    forceCloseConnections: "idle",
    clientErrorHandler: (error, socket) => void answerBrokenHttp(error, socket, requestLimits, config),
    frameworkErrors: (error: FastifyError, request: FastifyRequest, reply: FastifyReply) => {
      // No hook is asked about an address that cannot be read.
      const { origin } = request.headers;
      reply.headers({ "x-request-id": request.id, ...SECURITY_FIELDS, ...corsFields(config.corsOrigins, origin) });
      void requestLimits
        .count(request, reply)
        .then(() => requestLimits.refuseTooMany(request))
        .then(
          () => answerProblem(error, request, reply),
          (refusal) => answerProblem(refusal, request, reply),
        );
    },
  });
  const server = adapter.getInstance();
  server.removeContentTypeParser("text/plain");
  server.register(accepts);
  server.setErrorHandler(answerProblem);
  traceRequests(server);
  addSecurityHeaders(server);
  server.addHook("onRequest", async (request, reply) => {
    reply.header("x-request-id", request.id);
    await requestLimits.count(request, reply);
    if (request.method === "OPTIONS") requestLimits.refuseTooMany(request);
  });
  server.addHook("onRequest", async ({ host }) => {
    // RFC 9112, 3.2.
    if (host && !HOST.test(host))
      throw new Problem("malformed-request", "Host must be a name or an address, with a port if need be.");
  });
  server.addHook("onRequest", ({ method }, _, done) => {
    if (!READS.has(method)) return done();
    readsFirst.noteRead();
    asRead(done);
  });
  const routes = new KnownRoutes(server);
  routes.answerOptions();
  addCors(server, config.corsOrigins);
  // Not before pages of other origins may read that they are refused.
  server.addHook("onRequest", async (request) => requestLimits.refuseTooMany(request));
  warnOfUnknownProxies(server, config);
  server.register(cookie);
  server.register(multipart, { throwFileSizeLimit: false });
  takeJson(server);
  refuseCodedBodies(server);
  takeForms(server);
  routes.answerWrongMethods();
  serveMetrics(server, metrics, config.metricsToken);
  addEntityTags(server);
  addCompression(server);
  return adapter;
}
