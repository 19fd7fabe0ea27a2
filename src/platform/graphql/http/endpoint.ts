import websocket from "@fastify/websocket";
import { Injectable, type OnModuleInit } from "@nestjs/common";
import { HttpAdapterHost, ModuleRef } from "@nestjs/core";
import type { FastifyInstance, FastifyReply, FastifyRequest } from "fastify";
import { CREDENTIAL_READER, type CredentialReader } from "../../auth/account.js";
import { READ_REVISION, type ReadRevision } from "../../database/reads/read-revision.js";
import { ReplicaReads } from "../../database/reads/replica-reads.js";
import { RevisedAnswers } from "../../http/answers/revised-answers.js";
import { RequestLimits } from "../../limits/request-limits.js";
import { answerExplorer, serveExplorer, wantsExplorer } from "../explorer/explorer.js";
import { SocketServer } from "../sockets/socket-server.js";
import { MAX_MESSAGE_BYTES, subprotocolOf } from "../sockets/subprotocols.js";
import { answerFailure, answerOperation, type WrittenAnswer } from "./answer.js";

export const GRAPHQL_PATH = "/graphql";

/** Serves the schema at /graphql: operations over HTTP, subscriptions over WebSocket, and a page to explore it. */
@Injectable()
export class GraphqlEndpoint implements OnModuleInit {
  constructor(
    private readonly adapterHost: HttpAdapterHost,
    private readonly moduleRef: ModuleRef,
    private readonly replicaReads: ReplicaReads,
  ) {}

  onModuleInit(): void {
    // A worker serves nothing.
    const server = this.adapterHost.httpAdapter?.getInstance<FastifyInstance>();
    if (!server) return;
    const sockets = new SocketServer(
      () => server.graphql.schema,
      () => this.moduleRef.get<CredentialReader>(CREDENTIAL_READER, { strict: false }),
      () => this.moduleRef.get(RequestLimits, { strict: false }),
    );
    const readRevision = () => this.moduleRef.get<ReadRevision>(READ_REVISION, { strict: false })();
    const kept = { answers: new RevisedAnswers<WrittenAnswer>(), readRevision, replicaReads: this.replicaReads };
    const answer = (request: FastifyRequest, reply: FastifyReply) =>
      answerOperation(server.graphql, request, reply, kept);
    server.register(async (scope) => {
      const options = { maxPayload: MAX_MESSAGE_BYTES, handleProtocols: subprotocolOf };
      await scope.register(websocket, { options });
      scope.setErrorHandler(answerFailure);
      scope.route({
        method: "GET",
        url: GRAPHQL_PATH,
        onRequest: async (request) => {
          if (request.ws) sockets.checkRoom(request);
        },
        handler: (request, reply) => (wantsExplorer(request) ? answerExplorer(reply) : answer(request, reply)),
        wsHandler: (socket, request) => sockets.serve(socket, request),
      });
      scope.post(GRAPHQL_PATH, answer);
      await serveExplorer(scope);
    });
  }
}
