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
import { ReplicaReads } from "../database/reads/replica-reads.js";

/** Has a stranger's read answered by the replica. */
@Injectable()
export class ReplicaInterceptor implements NestInterceptor {
  constructor(private readonly replicaReads: ReplicaReads) {}

  async intercept(context: ExecutionContext, next: CallHandler<unknown>): Promise<Observable<unknown>> {
    const http = context.switchToHttp();
    if (!this.replicaReads.isThere || http.getRequest<FastifyRequest>().headers.authorization !== undefined) {
      return next.handle();
    }
    const answer = await this.replicaReads.of(
      () => lastValueFrom(next.handle(), { defaultValue: undefined }),
      () => http.getResponse<FastifyReply>().sent,
    );
    this.replicaReads.count(answer);
    return of(answer.value);
  }
}

/**
 * For a GET that writes nothing, takes no locks and answers once it has read all: strangers may be answered by a replica. Whoever says who they are
 * is answered by the primary.
 */
export function ReadsReplica(): MethodDecorator {
  return applyDecorators(UseInterceptors(ReplicaInterceptor));
}
