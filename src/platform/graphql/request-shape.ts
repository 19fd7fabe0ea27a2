import type { FastifyInstance } from "fastify";
import { Problem } from "../problems/problem.js";

/** Refuses a request to /graphql whose document is no text, which the GraphQL library would trip over. */
export function checkGraphqlRequests(server: FastifyInstance): void {
  server.addHook("preValidation", async (request) => {
    if (request.routeOptions.url !== "/graphql") return;
    const { query } = ((request.method === "GET" ? request.query : request.body) ?? {}) as { query?: unknown };
    if (typeof query === "string" || query === undefined) return;
    throw new Problem("malformed-query", "The member `query` must be text: a GraphQL document.");
  });
}
