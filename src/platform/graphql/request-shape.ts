import type { FastifyInstance } from "fastify";
import { Problem } from "../problems/problem.js";

/** Refuses a request to /graphql whose document is no text, or is JSON: the GraphQL library would take it as parsed. */
export function checkGraphqlRequests(server: FastifyInstance): void {
  server.addHook("preValidation", async (request) => {
    if (request.routeOptions.url !== "/graphql") return;
    const { query } = ((request.method === "GET" ? request.query : request.body) ?? {}) as { query?: unknown };
    if (query === undefined || (typeof query === "string" && !isJson(query))) return;
    throw new Problem("malformed-query", "The member `query` must be a string: a GraphQL document.");
  });
}

/** No GraphQL document is JSON. */
function isJson(text: string): boolean {
  try {
    JSON.parse(text);
    return true;
  } catch (error) {
    if (error instanceof SyntaxError) return false;
    throw error;
  }
}
