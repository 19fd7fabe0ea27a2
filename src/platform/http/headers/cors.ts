import cors from "@fastify/cors";
import { RouteConfig } from "@nestjs/platform-fastify";
import type { FastifyInstance } from "fastify";

/** Pages of which origins may read the answers: any, or those listed (Fetch Standard, CORS protocol). */
export type CorsOrigins = "*" | readonly string[];

/** What a page may send beside what the Fetch Standard lets every page send. */
const SENT = [
  "Accept",
  "Authorization",
  "Content-Type",
  "Idempotency-Key",
  "If-Match",
  "If-None-Match",
  "If-Modified-Since",
  "If-Range",
  "Last-Event-ID",
  "Range",
];

/** What a page may read beside what the Fetch Standard lets every page read. */
const EXPOSED = [
  "Accept-Ranges",
  "Allow",
  "Content-Digest",
  "Content-Disposition",
  "Content-Range",
  "Deprecation",
  "ETag",
  "Idempotency-Replayed",
  "Link",
  "Location",
  "RateLimit",
  "RateLimit-Policy",
  "Repr-Digest",
  "Retry-After",
  "Sunset",
  "Unencoded-Digest",
  "WWW-Authenticate",
  "X-Request-Id",
];

/** How long a browser may remember a preflight, s: the longest that any of them keeps (common practice, no published source). */
const PREFLIGHT_SECONDS = 86_400;

/**
 * Lets pages of other origins use both APIs. Credentials of browsers, such as cookies, are never allowed: what is not public
 * is opened by a token that the page itself sends. Addresses that read a cookie are left out by `WithoutCors`.
 */
export function addCors(server: FastifyInstance, origins: CorsOrigins): void {
  server.register(cors, {
    origin: origins === "*" ? "*" : [...origins],
    methods: ["GET", "HEAD", "POST", "PUT", "PATCH", "DELETE"],
    allowedHeaders: SENT,
    exposedHeaders: EXPOSED,
    maxAge: PREFLIGHT_SECONDS,
    strictPreflight: false,
  });
}

/**
 * The same for an answer without the web server's hooks.
 *
 * @param origin what the request names as its own; left out where it could not be read
 */
export function corsFields(origins: CorsOrigins, origin?: string): Record<string, string> {
  const vary: Record<string, string> = origins === "*" ? {} : { vary: "Origin" };
  const allowed = origins === "*" ? origins : origins.find((one) => one === origin);
  if (allowed === undefined) return vary;
  return { ...vary, "access-control-allow-origin": allowed, "access-control-expose-headers": EXPOSED.join(", ") };
}

/** Leaves an address out: one that reads or sets a cookie. */
export function WithoutCors() {
  return RouteConfig({ cors: false });
}
