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
  if (problem.status === 401) reply.header("www-authenticate", 'Bearer realm="packledger"');
  await reply.send(JSON.stringify(problem.toBody(request.id)));
}
