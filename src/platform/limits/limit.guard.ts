import { type CanActivate, type ExecutionContext, Injectable } from "@nestjs/common";
import { GqlExecutionContext } from "@nestjs/graphql";
import type { FastifyReply, FastifyRequest } from "fastify";
import { callerOf } from "../auth/account.js";
import { requestOf } from "../auth/request-of.js";
import { RequestLimits } from "./request-limits.js";

/** Counts every request of both APIs, once, for the account or key that sent it, when that is known. */
@Injectable()
export class LimitGuard implements CanActivate {
  private readonly counted = new WeakMap<FastifyRequest, Promise<void>>();

  constructor(private readonly requestLimits: RequestLimits) {}

  async canActivate(context: ExecutionContext): Promise<boolean> {
    const request = requestOf(context);
    const caller = callerOf(request);
    if (!caller) return true;
    let count = this.counted.get(request);
    if (!count) {
      count = this.requestLimits.attribute(request, replyOf(context), caller);
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
