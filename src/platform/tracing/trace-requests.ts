import type { FastifyInstance, FastifyRequest } from "fastify";
import { readTraceparent } from "./trace-context.js";
import { type Span, tracer } from "./tracer.js";

/**
 * Makes each request a span, and what is done for it a part of that one; of a trace that the client names, where it names one. Of its address
 * no more is told than the pattern: what stands in a path or a query may be nobody else's. (OpenTelemetry: HTTP server spans.)
 */
export function traceRequests(server: FastifyInstance): void {
  const tracing = tracer();
  if (!tracing) return;
  const spans = new WeakMap<FastifyRequest, Span>();
  server.addHook("onRequest", (request, _, done) => {
    const { method, protocol, headers, id } = request;
    const attributes = { "http.request.method": method, "url.scheme": protocol, "packledger.request.id": id };
    const span = tracing.begin(method, { kind: "server", parent: readTraceparent(headers.traceparent), attributes });
    spans.set(request, span);
    tracing.within(span, done);
  });
  server.addHook("onResponse", async (request, { statusCode }) => {
    const span = spans.get(request);
    const route = request.routeOptions.url;
    if (route) span?.rename(`${request.method} ${route}`);
    span?.end(
      { "http.response.status_code": statusCode, ...(route ? { "http.route": route } : {}) },
      statusCode >= 500,
    );
  });
}
