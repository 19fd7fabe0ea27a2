import type { FastifyReply } from "fastify";
import { type FormattedExecutionResult, GraphQLError, type GraphQLFormattedError } from "graphql";
import { isEndedByTimeLimit } from "../database/errors.js";
import { readSource } from "../database/reads/read-source.js";
import { challengeOf, internalError, retryAfterOf } from "../problems/answer.js";
import { Problem } from "../problems/problem.js";
import { toProblem } from "../problems/to-problem.js";

interface Execution {
  readonly data?: Record<string, unknown> | null | undefined;
  readonly errors?: readonly GraphQLError[] | undefined;
}

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

/**
 * What failed for no fault of the operation while it was read at a replica: the primary may do it.
 *
 * @returns null where nothing did, or nothing is read there
 */
export function replicaFailureOf({ errors = [] }: Execution): Error | null {
  if (readSource() !== "replica") return null;
  const failures = errors.flatMap(flatten).map(({ originalError }) => originalError);
  return failures.find((error) => error && !isOfOperation(error)) ?? null;
}

/** Whether it is what the operation asks for that fails, wherever it is read. */
export function isOfOperation(error: unknown): boolean {
  return (
    error instanceof Problem ||
    error instanceof GraphQLError ||
    isEndedByTimeLimit(error) ||
    String((error as { code?: unknown }).code).startsWith("MER_")
  );
}

/** What failed as a whole, in the form of a result. */
export function asExecution(error: unknown): { errors: GraphQLError[] } {
  if (error instanceof GraphQLError) return { errors: [error] };
  const { message } = error as Error;
  return { errors: [new GraphQLError(message, { originalError: error as Error })] };
}

/** An error of the protocol: wrong parameters, which never became an operation. */
export function errorOf(error: Readonly<Error>): GraphQLError {
  // Those of an operation have their form already.
  if (!(error instanceof Error)) return error as GraphQLError;
  return new GraphQLError(error.message, { extensions: new Problem("malformed-query", error.message).toExtensions() });
}

/** GraphQL's errors carry the same codes as the REST API's problem details. What was never carried out has no data. */
export function formatErrors(
  { data, errors: failures = [] }: Execution,
  { reply }: { readonly reply?: FastifyReply },
): { statusCode: number; response: FormattedExecutionResult } {
  const errors = failures.flatMap(flatten).map((error) => ({ error, problem: problemOf(error, reply) }));
  const statuses = errors.map(({ problem }) => problem.status);
  const waits = errors.map(({ problem }) => retryAfterOf(problem)).filter((wait) => wait !== null);
  if (waits.length > 0) reply?.header("retry-after", String(Math.max(...waits.map(Number))));
  const challenge = errors.map(({ problem }) => challengeOf(problem)).find((one) => one !== null);
  if (challenge) reply?.header("www-authenticate", challenge);
  return {
    statusCode: data && Object.values(data).some((value) => value !== null) ? 200 : Math.max(400, ...statuses),
    response: {
      ...(data === undefined ? {} : { data }),
      errors: errors.map(({ error, problem }) => format(error, problem)),
    },
  };
}
