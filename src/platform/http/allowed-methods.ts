import type { FastifyInstance } from "fastify";
import { Problem } from "../problems/problem.js";

interface KnownRoute {
  readonly segments: readonly string[];
  readonly method: string;
}

/** Answers 405 with `Allow` where an address exists but has not the method that was asked (RFC 9110, 15.5.6). */
export function answerWrongMethods(server: FastifyInstance): void {
  const routes: KnownRoute[] = [];
  server.addHook("onRoute", ({ url, method }) => {
    if (url.includes("*")) return;
    for (const one of [method].flat()) routes.push({ segments: segmentsOf(url), method: one });
  });
  server.addHook("onRequest", async (request, reply) => {
    if (!request.is404) return;
    const asked = segmentsOf(request.url.split("?", 1)[0] ?? "");
    const allowed = new Set(routes.filter(({ segments }) => fits(asked, segments)).map(({ method }) => method));
    if (allowed.size === 0) return;
    const allow = [...allowed].sort().join(", ");
    reply.header("allow", allow);
    throw new Problem("method-not-allowed", `This address takes ${allow}.`);
  });
}

function segmentsOf(path: string): string[] {
  return path.replace(/\/$/, "").split("/");
}

/** A segment that begins with a colon takes anything. */
function fits(asked: readonly string[], known: readonly string[]): boolean {
  return asked.length === known.length && known.every((one, index) => one === asked[index] || one.startsWith(":"));
}
