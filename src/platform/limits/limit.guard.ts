import { type CanActivate, type ExecutionContext, Injectable } from "@nestjs/common";
import { GqlExecutionContext } from "@nestjs/graphql";
import type { FastifyReply, FastifyRequest } from "fastify";
import { callerOf } from "../auth/account.js";
import { requestOf } from "../auth/request-of.js";
import { Limits } from "./limits.js";

/** Counts every request of both APIs once, when it is known who sent it. */
@Injectable()
export class LimitGuard implements CanActivate {
  private readonly counted = new WeakMap<FastifyRequest, Promise<void>>();

  constructor(private readonly limits: Limits) {}

  async canActivate(context: ExecutionContext): Promise<boolean> {
    const request = requestOf(context);
    let count = this.counted.get(request);
    if (!count) {
      count = this.limits.countRequest(request, replyOf(context), callerOf(request) ?? null);
      this.counted.set(request, count);
    }
    await count;
    return true;
  }
}

/** A subscription has none. */
function replyOf(context: ExecutionContext): FastifyReply | undefined {
  if (context.getType<string>() !== "graphql") return context.switchToHttp().getResponse<FastifyReply>();
  return GqlExecutionContext.create(context).getContext<{ reply?: FastifyReply }>().reply;
}
