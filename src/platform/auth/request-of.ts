import type { ExecutionContext } from "@nestjs/common";
import { GqlExecutionContext } from "@nestjs/graphql";
import type { FastifyRequest } from "fastify";

/** The HTTP request behind a call of either API. */
export function requestOf(context: ExecutionContext): FastifyRequest {
  if (context.getType<string>() === "graphql") {
    return GqlExecutionContext.create(context).getContext<{ req: FastifyRequest }>().req;
  }
  return context.switchToHttp().getRequest<FastifyRequest>();
}
