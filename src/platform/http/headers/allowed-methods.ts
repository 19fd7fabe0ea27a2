import type { FastifyInstance, FastifyReply, FastifyRequest } from "fastify";
import { notFound, Problem } from "../../problems/problem.js";

interface KnownRoute {
  readonly segments: readonly string[];
  readonly method: string;
  /** Whether pages of other origins may use it. */
  readonly isShared: boolean;
}

/** Which addresses there are, and what each takes. To be made before the first route. */
export class KnownRoutes {
  private readonly routes: KnownRoute[] = [];

  constructor(private readonly server: FastifyInstance) {
    server.addHook("onRoute", ({ url, method, config }) => {
      if (url.includes("*")) return;
      const isShared = (config as { cors?: unknown } | undefined)?.cors !== false;
      for (const one of [method].flat()) this.routes.push({ segments: url.split("/"), method: one, isShared });
    });
  }

  /**
   * Answers OPTIONS (RFC 9110, 9.3.7) for an address that does not exist, and for one that pages of other origins may not use;
   * for the others it names the methods and leaves the answer to who follows.
   */
  answerOptions(): void {
    this.server.addHook("onRequest", async (request, reply) => {
      if (request.method !== "OPTIONS") return;
      const known = this.of(request);
      if (known.length === 0) throw notFound("address");
      allow(reply, known);
      if (known.some(({ isShared }) => !isShared)) return reply.status(204).send();
    });
  }

  /** Answers 405 with `Allow` where an address exists but has not the method that was asked (RFC 9110, 15.5.6). */
  answerWrongMethods(): void {
    this.server.addHook("onRequest", async (request, reply) => {
      const known = request.is404 ? this.of(request) : [];
      if (known.length > 0) throw new Problem("method-not-allowed", `This address takes ${allow(reply, known)}.`);
    });
  }

  private of({ url }: FastifyRequest): KnownRoute[] {
    const asked = (url.split("?", 1)[0] ?? "").split("/");
    return this.routes.filter(({ segments }) => fits(asked, segments));
  }
}

function allow(reply: FastifyReply, known: readonly KnownRoute[]): string {
  const methods = [...new Set([...known.map(({ method }) => method), "OPTIONS"])].sort().join(", ");
  reply.header("allow", methods);
  return methods;
}

/** A segment that begins with a colon takes anything. */
function fits(asked: readonly string[], known: readonly string[]): boolean {
  return asked.length === known.length && known.every((one, index) => one === asked[index] || one.startsWith(":"));
}
