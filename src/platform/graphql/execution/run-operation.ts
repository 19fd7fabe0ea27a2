import { finished } from "node:stream";
import type { FastifyInstance, FastifyReply, FastifyRequest } from "fastify";
import { type DocumentNode, type FormattedExecutionResult, type GraphQLSchema, getOperationAST } from "graphql";
import type { RequestParams } from "graphql-http";
import { clientOf } from "../../client/client.js";
import { asRead, noRead } from "../../database/reads/read-limit.js";
import type { ReadRevision } from "../../database/reads/read-revision.js";
import type { ReplicaReads } from "../../database/reads/replica-reads.js";
import { Problem } from "../../problems/problem.js";
import { readsFirst } from "../../process/reads-first.js";
import { costOf } from "../cost/cost-of.js";
import { checkDocument, operationOf, parseDocument, readsSchema } from "../document.js";
import { asExecution, formatErrors, isOfOperation } from "../errors.js";
import { isRevised, mayReadReplica } from "../revised.js";
import { InFlight } from "./in-flight.js";
import { OperationBudget } from "./operation-budget.js";

/** How long a query may take, with its wait for others. */
const MAX_DURATION_MS = 30_000;
/** A document above this is not compiled: that would take longer than it saves. */
const MAX_COMPILED_CHARACTERS = 1_000;

const inFlight = new InFlight({ cost: 30_000, waiting: 64, waitingOfOne: 8 });

interface OperationContext extends Record<string, unknown> {
  readonly req: FastifyRequest;
  readonly reply: FastifyReply;
  readonly operationName: string | null | undefined;
  readonly releases: (() => void)[];
  readonly origin: AnswerOrigin;
  budget: OperationBudget | undefined;
}

/** What an answer was read from. */
export interface AnswerOrigin {
  readonly readRevision: ReadRevision;
  /** The revision of what it was read from, read before it; null where it was read from more than has one. */
  revision: string | null;
}

interface Exchange {
  readonly request: FastifyRequest;
  readonly reply: FastifyReply;
  readonly origin: AnswerOrigin;
  /** Left out where there is no replica to think of. */
  readonly replicaReads?: ReplicaReads;
}

/** Runs one operation within its limits. The reply's status says how it went. */
export async function runOperation(
  library: FastifyInstance["graphql"],
  { query, operationName, variables }: RequestParams,
  { request, reply, origin, replicaReads }: Exchange,
  maxDurationMs = MAX_DURATION_MS,
): Promise<FormattedExecutionResult> {
  const budget = new OperationBudget();
  const context: OperationContext = { req: request, reply, operationName, budget, origin, releases: [] };
  const isSent = new Promise<void>((resolve) => {
    finished(reply.raw, () => {
      budget.stop(new Problem("request-timeout", "The client has gone."));
      resolve();
    });
  });
  readsFirst.noteRead();
  const execution = asRead(async () => {
    checkDocument(query);
    if (request.method === "GET") checkRead(query, operationName, reply);
    // The library remembers a document by its text alone, and compiles one operation of it.
    const source = operationName ? `${query}\n# ${operationName}` : query;
    const run = (own: OperationContext) => library(source, own, variables ?? undefined, operationName ?? undefined);
    if (!replicaReads?.isThere || request.headers.authorization !== undefined) return run(context);
    if (!isForReplica(library, query, operationName)) return run(context);
    const answer = await replicaReads.of(
      () => {
        // What a try at the replica held and read is not the next one's.
        for (const release of context.releases.splice(0)) release();
        return run({ ...context });
      },
      (error) => budget.problem !== null || isOfOperation(error),
    );
    replicaReads.count(answer);
    return answer.value;
  });
  const isOver = execution.then(
    () => {},
    () => {},
  );
  void Promise.all([isOver, isSent]).then(() => {
    for (const release of context.releases) release();
  });
  try {
    const result = await beforeDeadline(execution, budget, {
      maxDurationMs,
      isQuery: () => context.budget !== undefined,
    });
    if (context.budget) budget.check();
    return result as FormattedExecutionResult;
  } catch (error) {
    const { statusCode, response } = formatErrors(asExecution(budget.problem ?? error), { reply });
    reply.status(statusCode);
    return response;
  }
}

/** What is wrong with a document is said by who runs it. */
function isForReplica(library: FastifyInstance["graphql"], query: string, name: string | null | undefined): boolean {
  const operation = getOperationAST(parseDocument(query), name);
  return operation != null && mayReadReplica(library.schema, operation);
}

/** A change by GET could be made by a link. */
function checkRead(query: string, operationName: string | null | undefined, reply: FastifyReply): void {
  const { operation } = operationOf(parseDocument(query), operationName);
  if (operation !== "mutation") return;
  reply.header("allow", "POST");
  throw new Problem("method-not-allowed", "Only queries are read with GET. Send anything else with POST.");
}

/** The answer does not wait for what goes on in spite of it; what the operation holds does. */
async function beforeDeadline<T>(
  execution: Promise<T>,
  budget: OperationBudget,
  { maxDurationMs, isQuery }: { readonly maxDurationMs: number; readonly isQuery: () => boolean },
): Promise<T> {
  let timer: NodeJS.Timeout | undefined;
  const deadline = new Promise<never>((_, reject) => {
    timer = setTimeout(() => {
      budget.stop(new Problem("query-time-limit", `A query may take ${maxDurationMs / 1000} s. Ask for less at once.`));
      if (isQuery()) reject(budget.problem);
    }, maxDurationMs);
  });
  try {
    return await Promise.race([execution, deadline]);
  } finally {
    clearTimeout(timer);
  }
}

/** Called by the library between the checks of a document and its execution: weighs the operation, and waits its turn. */
export async function beforeExecution(
  schema: GraphQLSchema,
  document: DocumentNode,
  context: unknown,
  variables: Record<string, unknown>,
): Promise<{ document: DocumentNode } | undefined> {
  const operation = context as OperationContext;
  const asked = operationOf(document, operation.operationName);
  const { operation: kind } = asked;
  if (kind === "subscription") {
    throw new Problem("malformed-query", "Subscriptions are served over WebSocket at this address.");
  }
  const cost = costOf(schema, { document, operationName: operation.operationName, variables });
  // A change that has begun is carried to its end.
  if (kind === "mutation") {
    operation.budget = undefined;
    noRead();
  }
  // What is asked of the schema is answered in one piece: of several, each would hold up every step of an answer to others.
  operation.releases.push(await inFlight.admit(cost, clientOf(operation.req).network, readsSchema(document)));
  operation.budget?.check();
  const { origin } = operation;
  if (isRevised(schema, asked)) origin.revision = await origin.readRevision();
  const isLarge = (document.loc?.end ?? 0) > MAX_COMPILED_CHARACTERS;
  return isLarge ? { document } : undefined;
}
