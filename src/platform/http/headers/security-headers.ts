import helmet from "@fastify/helmet";
import type { FastifyInstance } from "fastify";

/**
 * Header fields that keep browsers from doing more with an answer than it is for. The page of the documentation needs its
 * own scripts and inline styles; anyone may read the public API and show its charts, but no page may frame it. Credentials are
 * bearer tokens, which no browser sends by itself, so that a foreign page can do nothing in somebody's name (see `addCors`).
 */
export function addSecurityHeaders(server: FastifyInstance): void {
  server.register(helmet, {
    contentSecurityPolicy: {
      useDefaults: false,
      directives: {
        defaultSrc: ["'none'"],
        scriptSrc: ["'self'"],
        styleSrc: ["'self'", "'unsafe-inline'"],
        imgSrc: ["'self'", "data:"],
        connectSrc: ["'self'"],
        fontSrc: ["'self'"],
        baseUri: ["'none'"],
        formAction: ["'none'"],
        frameAncestors: ["'none'"],
      },
    },
    crossOriginResourcePolicy: { policy: "cross-origin" },
    frameguard: { action: "deny" },
  });
}

/** The same, for what is answered without the web server's hooks. */
export const SECURITY_FIELDS: Readonly<Record<string, string>> = {
  "content-security-policy":
    "default-src 'none';script-src 'self';style-src 'self' 'unsafe-inline';img-src 'self' data:;connect-src 'self';" +
    "font-src 'self';base-uri 'none';form-action 'none';frame-ancestors 'none'",
  "cross-origin-opener-policy": "same-origin",
  "cross-origin-resource-policy": "cross-origin",
  "origin-agent-cluster": "?1",
  "referrer-policy": "no-referrer",
  "strict-transport-security": "max-age=31536000; includeSubDomains",
  "x-content-type-options": "nosniff",
  "x-dns-prefetch-control": "off",
  "x-download-options": "noopen",
  "x-frame-options": "DENY",
  "x-permitted-cross-domain-policies": "none",
  "x-xss-protection": "0",
};
