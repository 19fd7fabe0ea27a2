import type { ExecutionContext } from "@nestjs/common";
import { GqlExecutionContext } from "@nestjs/graphql";
import type { FastifyRequest } from "fastify";
import type { GraphQLResolveInfo } from "graphql";

/** Whether a call of either API changes nothing. */
export function isRead(context: ExecutionContext): boolean {
  if (context.getType<string>() !== "graphql") {
    return ["GET", "HEAD"].includes(context.switchToHttp().getRequest<FastifyRequest>().method);
  }
  return GqlExecutionContext.create(context).getInfo<GraphQLResolveInfo>().operation.operation !== "mutation";
}
