import type { FastifyReply, FastifyRequest } from "fastify";
import type { ProblemCode } from "./catalogue.js";
import { Problem } from "./problem.js";
import { toProblem } from "./to-problem.js";

/** When a client may try again what the service was not ready for. */
const RETRY_AFTER_SECONDS = "3";
/** When it may try again what there was no room for: somebody has to make some. */
const RETRY_AFTER_FULL_SECONDS = "30";

/** When to try again, in seconds; null where trying again does not help. */
export function retryAfterOf({ status, extensions }: Problem): string | null {
  if (typeof extensions.retryAfterSeconds === "number") return String(extensions.retryAfterSeconds);
  if (status === 507) return RETRY_AFTER_FULL_SECONDS;
  return status === 503 ? RETRY_AFTER_SECONDS : null;
}

/**
 * How to authenticate, and what is wrong with the token that was sent (RFC 6750, 3 and 3.1); null where another token
 * does not help.
 */
export function challengeOf({ code, status, extensions }: Problem): string | null {
  if (code === "invalid-session") return 'Bearer realm="packledger", error="invalid_token"';
  if (code === "scope-required") {
    const needed = typeof extensions.scope === "string" ? `, scope="${extensions.scope}"` : "";
    return `Bearer realm="packledger", error="insufficient_scope"${needed}`;
  }
  return status === 401 ? 'Bearer realm="packledger"' : null;
}

/** What a client is told about a fault of the service itself: nothing but where to point when reporting it. */
export function internalError(requestId: string): Problem {
  return new Problem("internal-error", `The fault was recorded under ${requestId}. Trying again later may help.`);
}

const codes = new WeakMap<FastifyRequest, ProblemCode>();

/** The code of the problem that a request was answered with, once it was. */
export const problemCodeOf = (request: FastifyRequest): ProblemCode | undefined => codes.get(request);

/** Answers with problem details (RFC 9457). An unforeseen error is recorded and hidden. */
export async function answerProblem(error: unknown, request: FastifyRequest, reply: FastifyReply): Promise<void> {
  const foreseen = toProblem(error);
  if (!foreseen) request.log.error({ err: error }, "unforeseen error");
  const problem = foreseen ?? internalError(request.id);
  codes.set(request, problem.code);
  reply.status(problem.status).header("content-type", "application/problem+json; charset=utf-8");
  // What the address says of its answers holds for no refusal.
  reply.header("cache-control", "no-store").removeHeader("etag");
  const retryAfter = retryAfterOf(problem);
  if (retryAfter !== null) reply.header("retry-after", retryAfter);
  const challenge = challengeOf(problem);
  if (challenge !== null) reply.header("www-authenticate", challenge);
  await reply.send(JSON.stringify(problem.toBody(request.id)));
}
