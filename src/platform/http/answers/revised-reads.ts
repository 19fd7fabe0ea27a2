import { Injectable, type OnModuleInit } from "@nestjs/common";
import { HttpAdapterHost, ModuleRef } from "@nestjs/core";
import type { FastifyInstance, FastifyReply, FastifyRequest } from "fastify";
import { READ_REVISION, type ReadRevision } from "../../database/reads/read-revision.js";
import { ReplicaReads } from "../../database/reads/replica-reads.js";
import { matchesEntityTag } from "./entity-tag.js";
import { RevisedAnswers } from "./revised-answers.js";

/** What a stranger was answered by a handler of a GET. */
interface RevisedRead {
  readonly entityTag: string;
  /** JSON; null where only its entity tag was asked for so far. */
  readonly body: string | null;
}

export const JSON_SENT = "application/json; charset=utf-8";

/** Of each service of this process. */
const answersOf = new WeakMap<object, RevisedAnswers<RevisedRead>>();

/** What tells a request from all whose answers differ; null where the answer may depend on who asks. */
function keyOf({ method, url, headers }: FastifyRequest): string | null {
  if (method !== "GET" || headers.authorization !== undefined || headers.cookie !== undefined) return null;
  return `${url} ${headers.accept ?? ""}`;
}

/** Keeps what a handler answers that read nothing but what has this revision, and has found everything of the request in order. */
export function keepRevised(request: FastifyRequest, revision: string, read: RevisedRead): void {
  const key = keyOf(request);
  if (key !== null) answersOf.get(request.server)?.keep(key, revision, read);
}

/**
 * Gives strangers what was answered before to the same request, for as long as the revision is the one that it was read from: that is asked for each time.
 * Everything that holds for every request has been done by then; what is left out is the way to the handler, which takes several times as long.
 */
@Injectable()
export class RevisedReads implements OnModuleInit {
  private readonly answers = new RevisedAnswers<RevisedRead>();

  constructor(
    private readonly adapterHost: HttpAdapterHost,
    private readonly moduleRef: ModuleRef,
    private readonly replicaReads: ReplicaReads,
  ) {}

  onModuleInit(): void {
    // A worker serves nothing.
    const server = this.adapterHost.httpAdapter?.getInstance<FastifyInstance>();
    if (!server) return;
    const readRevision = this.moduleRef.get<ReadRevision>(READ_REVISION, { strict: false });
    answersOf.set(server, this.answers);
    server.addHook("preHandler", (request, reply, done) => {
      const key = keyOf(request);
      if (key === null || !this.answers.has(key)) return done();
      this.answer(key, readRevision, request, reply).then((isAnswered) => {
        if (!isAnswered) done();
      }, done);
    });
  }

  private async answer(
    key: string,
    readRevision: ReadRevision,
    request: FastifyRequest,
    reply: FastifyReply,
  ): Promise<boolean> {
    const find = () => this.answers.find(key, readRevision);
    const found = this.replicaReads.isThere ? await this.replicaReads.of(find) : { value: await find(), source: null };
    if (!found.value) return false;
    const { entityTag, body } = found.value;
    const isCurrent = matchesEntityTag(request.headers["if-none-match"] ?? "", entityTag);
    if (!isCurrent && body === null) return false;
    this.replicaReads.count(found);
    reply.header("etag", entityTag);
    if (isCurrent) reply.status(304).send();
    else reply.header("content-type", JSON_SENT).send(body);
    return true;
  }
}
