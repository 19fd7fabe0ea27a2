import { createHash, timingSafeEqual } from "node:crypto";
import type { FastifyInstance, FastifyRequest } from "fastify";
import { clientOf } from "../client/client.js";
import { problemCodeOf } from "../problems/answer.js";
import type { ProblemCode } from "../problems/catalogue.js";
import { Problem } from "../problems/problem.js";
import type { Metrics } from "./metrics.js";

/** Label of a request whose address belongs to no route. */
const NO_ROUTE = "none";

/** Codes that alerts watch (deploy/alerts.yml). */
const ALERTED = ["internal-error", "storage-unavailable"] as const satisfies readonly ProblemCode[];

/**
 * Counts every request, and answers `GET /metrics` to programs of this machine and to whoever has the token. A request
 * that a proxy passes on is nobody's of this machine.
 */
export function serveMetrics(server: FastifyInstance, metrics: Metrics, token: string | null): void {
  // What appears with its first fault has not increased, for whoever reads it (Prometheus: "Instrumentation", avoid missing metrics).
  const begin = (route: string) => {
    for (const code of ALERTED) metrics.problems.inc({ route, code }, 0);
  };
  begin(NO_ROUTE);
  server.addHook("onRoute", ({ url }) => begin(url));
  server.addHook("onResponse", async (request, reply) => {
    const route = request.routeOptions.url ?? NO_ROUTE;
    const { method } = request;
    metrics.requests.observe({ method, route, status: reply.statusCode }, reply.elapsedTime / 1_000);
    const code = problemCodeOf(request);
    if (code) metrics.problems.inc({ route, code });
  });
  server.get("/metrics", async (request, reply) => {
    if (!clientOf(request).isThisMachine && !hasToken(request, token)) throw REFUSED;
    const text = await metrics.text();
    return reply.header("content-type", metrics.registry.contentType).header("cache-control", "no-store").send(text);
  });
}

const REFUSED = new Problem(
  "role-required",
  "The metrics are for programs of the service's own machine, and for whoever sends METRICS_TOKEN as a bearer token.",
);

/** Compared by digests of one length, in a time that says nothing of the token (RFC 6750 names its form). */
function hasToken(request: FastifyRequest, token: string | null): boolean {
  const sent = /^Bearer (\S{1,256})$/i.exec(request.headers.authorization ?? "")?.[1];
  if (token === null || sent === undefined) return false;
  const digest = (text: string) => createHash("sha256").update(text).digest();
  return timingSafeEqual(digest(sent), digest(token));
}
