import { type CanActivate, type ExecutionContext, Inject, Injectable } from "@nestjs/common";
import { Reflector } from "@nestjs/core";
import type { FastifyRequest } from "fastify";
import { Problem } from "../problems/problem.js";
import { type Caller, callerOf, type Role, rememberCaller, SESSION_READER, type SessionReader } from "./account.js";
import { NEEDED_ROLES } from "./decorators.js";
import { requestOf } from "./request-of.js";

/** Looks up the caller of every request of both APIs, once, and holds it against what the handler needs. */
@Injectable()
export class SessionGuard implements CanActivate {
  constructor(
    private readonly reflector: Reflector,
    @Inject(SESSION_READER) private readonly sessions: SessionReader,
  ) {}

  async canActivate(context: ExecutionContext): Promise<boolean> {
    const needed = this.reflector.getAllAndOverride<Role[] | undefined>(NEEDED_ROLES, [
      context.getHandler(),
      context.getClass(),
    ]);
    const caller = await this.identify(requestOf(context));
    if (!needed) return true;
    if (!caller) {
      throw new Problem(
        "session-required",
        "Open one with POST /v1/sessions and send it as `Authorization: Bearer ...`.",
      );
    }
    if (needed.length > 0 && !needed.includes(caller.role)) {
      throw new Problem("role-required", `Only these roles may do this: ${needed.join(", ")}.`);
    }
    return true;
  }

  private async identify(request: FastifyRequest): Promise<Caller | null> {
    const known = callerOf(request);
    if (known !== undefined) return known;
    const { authorization } = request.headers;
    let caller: Caller | null = null;
    if (authorization !== undefined) {
      const token = /^Bearer ([\w-]{43})$/i.exec(authorization)?.[1];
      caller = token ? await this.sessions.callerOf(token) : null;
      if (!caller) throw new Problem("invalid-session", "Open a new one with POST /v1/sessions.");
    }
    rememberCaller(request, caller);
    return caller;
  }
}
