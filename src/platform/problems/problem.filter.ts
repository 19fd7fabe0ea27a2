import { type ArgumentsHost, Catch, type ExceptionFilter } from "@nestjs/common";
import type { FastifyReply, FastifyRequest } from "fastify";
import { asSubscriptionError, isOfSubscription } from "../graphql/subscriptions.js";
import { Storage } from "../storage/storage.js";
import { answerProblem } from "./answer.js";

/** Turns whatever a handler throws into problem details; GraphQL formats its own errors. */
@Catch()
export class ProblemFilter implements ExceptionFilter {
  constructor(private readonly storage: Storage) {}

  catch(error: unknown, host: ArgumentsHost): unknown {
    this.storage.noteFailure(error);
    if (host.getType<string>() === "graphql") return isOfSubscription(host) ? asSubscriptionError(error) : error;
    const http = host.switchToHttp();
    return answerProblem(error, http.getRequest<FastifyRequest>(), http.getResponse<FastifyReply>());
  }
}
