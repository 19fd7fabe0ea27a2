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
