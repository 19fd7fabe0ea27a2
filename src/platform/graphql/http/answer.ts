import type { FastifyInstance, FastifyReply, FastifyRequest } from "fastify";
import type { ExecutionResult } from "graphql";
import { createHandler } from "graphql-http";
import { asRead } from "../../database/reads/read-limit.js";
import type { ReadRevision } from "../../database/reads/read-revision.js";
import type { ReplicaReads } from "../../database/reads/replica-reads.js";
import type { RevisedAnswers } from "../../http/answers/revised-answers.js";
import { Problem } from "../../problems/problem.js";
import { asExecution, errorOf, formatErrors } from "../errors.js";
import { type AnswerOrigin, runOperation } from "../execution/run-operation.js";

type Library = FastifyInstance["graphql"];

interface Exchange {
  readonly library: Library;
  readonly request: FastifyRequest;
  readonly reply: FastifyReply;
  readonly origin: AnswerOrigin;
  readonly replicaReads: ReplicaReads;
}

/** An answer as it is sent. */
export interface WrittenAnswer {
  readonly body: string;
  readonly status: number;
  readonly mediaType: string;
}

/** Answers that are kept, and what tells whether they still hold. */
export interface KeptAnswers {
  readonly answers: RevisedAnswers<WrittenAnswer>;
  readonly readRevision: ReadRevision;
  readonly replicaReads: ReplicaReads;
}

const REFUSALS = {
  406: new Problem("not-acceptable", "Accept application/graphql-response+json or application/json."),
  415: new Problem("unsupported-media-type", "Send JSON as application/json, in UTF-8."),
} as const;

/** The protocol: which parameters there are, and what a client accepts (GraphQL over HTTP). */
const handle = createHandler<undefined, Exchange>({
  onSubscribe: async ({ context: { library, request, reply, origin, replicaReads } }, parameters) => {
    const result = await runOperation(library, parameters, { request, reply, origin, replicaReads });
    if (result.errors) origin.revision = null;
    // The protocol's library takes for a result what has this member, even if it is never sent.
    return { data: undefined, ...result } as ExecutionResult;
  },
  formatError: (error) => errorOf(error),
});

/** Answers what was asked by GET or POST. */
export async function answerOperation(
  library: Library,
  request: FastifyRequest,
  reply: FastifyReply,
  { answers, readRevision, replicaReads }: KeptAnswers,
): Promise<FastifyReply> {
  const key = keyOf(request);
  const found =
    key === null || !answers.has(key)
      ? null
      : await asRead(() => replicaReads.of(() => answers.find(key, readRevision)));
  if (found?.value) {
    replicaReads.count(found);
    const { status, mediaType, body } = found.value;
    return reply.status(status).header("content-type", mediaType).send(body);
  }
  const origin: AnswerOrigin = { readRevision, revision: null };
  const [body, { status, headers }] = await handle({
    // HEAD is answered as GET is; the server leaves the body out (RFC 9110, 9.3.2).
    method: request.method === "HEAD" ? "GET" : request.method,
    url: request.url,
    headers: request.headers,
    body: request.body as Record<string, unknown>,
    raw: undefined,
    context: { library, request, reply, origin, replicaReads },
  });
  if (body === null) throw REFUSALS[status as keyof typeof REFUSALS];
  const mediaType = headers?.["content-type"] ?? "";
  const answer = { body, mediaType, status: statusOf(mediaType, status, reply.statusCode) };
  if (key !== null && origin.revision !== null && answer.status === 200) answers.keep(key, origin.revision, answer);
  return reply.status(answer.status).header("content-type", mediaType).send(body);
}

/** What tells a request from all whose answers differ; null where the answer may depend on who asks. */
function keyOf({ method, headers, body }: FastifyRequest): string | null {
  if (method !== "POST" || headers.authorization !== undefined || headers.cookie !== undefined) return null;
  return JSON.stringify([headers.accept, headers["content-type"], body]);
}

/**
 * Where a client knows GraphQL's own media type, the status says how the operation went; else whether the request was
 * well-formed (GraphQL over HTTP, Status Codes). A change by GET, and what the service cannot do now, is said to both.
 */
function statusOf(mediaType: string, ofRequest: number, ofOperation: number): number {
  const isOfRequest = ofOperation === 405 || ofOperation === 429 || ofOperation >= 500;
  const isSaid = isOfRequest || mediaType.startsWith("application/graphql-response+json");
  return ofRequest === 200 && isSaid ? ofOperation : ofRequest;
}

/** What a failure may be sent as; the first where a client likes all alike, or none. */
const FAILURE_TYPES = ["application/json", "application/graphql-response+json"];

/**
 * Answers what failed before it became an operation, such as a body that is no JSON or one request too many, in the form of a result: of
 * GraphQL's own media type where the client knows it, without which it takes no answer but 200 for a result (GraphQL over HTTP, Status Codes).
 */
export async function answerFailure(
  error: unknown,
  request: FastifyRequest,
  reply: FastifyReply,
): Promise<FastifyReply> {
  const { statusCode, response } = formatErrors(asExecution(error), { reply });
  const mediaType = request.accepts().type([...FAILURE_TYPES]) || FAILURE_TYPES[0];
  return reply.status(statusCode).header("content-type", `${mediaType}; charset=utf-8`).send(response);
}
