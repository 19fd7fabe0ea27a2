import type { FastifyReply } from "fastify";
import { GraphQLError, type GraphQLFormattedError } from "graphql";
import type { MercuriusOptions } from "mercurius";
import { internalError, retryAfterOf } from "../problems/answer.js";
import { Problem } from "../problems/problem.js";
import { toProblem } from "../problems/to-problem.js";

type ErrorFormatter = NonNullable<MercuriusOptions["errorFormatter"]>;

/** Mistakes in the document itself come wrapped in one error that lists them. */
function flatten(error: GraphQLError): readonly GraphQLError[] {
  const listed = (error.originalError as { errors?: unknown } | undefined)?.errors;
  if (error.originalError instanceof Problem || !Array.isArray(listed)) return [error];
  return listed.map((item) => (item instanceof GraphQLError ? item : new GraphQLError(String(item?.message ?? item))));
}

function problemOf(error: GraphQLError, reply: FastifyReply | undefined): Problem {
  const { originalError } = error;
  if (!originalError || originalError instanceof GraphQLError) return new Problem("malformed-query", error.message);
  const foreseen = toProblem(originalError);
  if (foreseen) {
    const isAboutQuery = String((originalError as { code?: unknown }).code).startsWith("MER_");
    return isAboutQuery ? new Problem("malformed-query", error.message) : foreseen;
  }
  reply?.log.error({ err: originalError }, "unforeseen error");
  return internalError(reply?.request.id ?? "");
}

function format(error: GraphQLError, problem: Problem): GraphQLFormattedError {
  return {
    message: problem.detail,
    ...(error.locations ? { locations: error.locations } : {}),
    ...(error.path ? { path: error.path } : {}),
    extensions: problem.toExtensions(),
  };
}

/** GraphQL's errors carry the same codes as the REST API's problem details. */
export const formatErrors: ErrorFormatter = (execution, context) => {
  const { reply } = context as { reply?: FastifyReply };
  const errors = (execution.errors ?? [])
    .flatMap(flatten)
    .map((error) => ({ error, problem: problemOf(error, reply) }));
  const data = execution.data ?? null;
  const statuses = errors.map(({ problem }) => problem.status);
  const waits = errors.map(({ problem }) => retryAfterOf(problem)).filter((wait) => wait !== null);
  if (waits.length > 0) reply?.header("retry-after", String(Math.max(...waits.map(Number))));
  return {
    statusCode: data !== null && Object.values(data).some((value) => value !== null) ? 200 : Math.max(400, ...statuses),
    response: { data, errors: errors.map(({ error, problem }) => format(error, problem) as GraphQLError) },
  };
};
