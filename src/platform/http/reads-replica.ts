import {
  applyDecorators,
  type CallHandler,
  type ExecutionContext,
  Injectable,
  type NestInterceptor,
  UseInterceptors,
} from "@nestjs/common";
import type { FastifyReply, FastifyRequest } from "fastify";
import { lastValueFrom, type Observable, of } from "rxjs";
import { Database } from "../database/database.js";
import { isEndedByTimeLimit } from "../database/errors.js";
import { fromReplica } from "../database/read-source.js";
import { Metrics } from "../metrics/metrics.js";
import { Problem } from "../problems/problem.js";

/**
 * Has a stranger's read answered by the replica, where there is one that has everything which the primary has shown. One that fails there is
 * done again at the primary from its beginning, so that no answer is made of both.
 */
@Injectable()
export class ReplicaInterceptor implements NestInterceptor {
  constructor(
    private readonly database: Database,
    private readonly metrics: Metrics,
  ) {}

  async intercept(context: ExecutionContext, next: CallHandler<unknown>): Promise<Observable<unknown>> {
    const { replica } = this.database;
    const { headers } = context.switchToHttp().getRequest<FastifyRequest>();
    if (!replica || headers.authorization !== undefined) return next.handle();
    if (await replica.isCurrent()) {
      const { losses } = replica;
      try {
        const answer = await fromReplica(() => lastValueFrom(next.handle(), { defaultValue: undefined }));
        if (replica.losses !== losses) throw new Error("a connection was lost meanwhile");
        this.metrics.replicaReads.inc({ source: "replica" });
        return of(answer);
      } catch (error) {
        const isSent = context.switchToHttp().getResponse<FastifyReply>().sent;
        if (isSent || error instanceof Problem || isEndedByTimeLimit(error)) throw error;
        replica.failed(error);
      }
    }
    this.metrics.replicaReads.inc({ source: "primary" });
    return next.handle();
  }
}

/**
 * For a GET that writes nothing, takes no locks and answers once it has read all: strangers may be answered by a replica. Whoever says who they are
 * is answered by the primary.
 */
export function ReadsReplica(): MethodDecorator {
  return applyDecorators(UseInterceptors(ReplicaInterceptor));
}
