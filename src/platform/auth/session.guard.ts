import { type CanActivate, type ExecutionContext, Inject, Injectable } from "@nestjs/common";
import { Reflector } from "@nestjs/core";
import type { FastifyRequest } from "fastify";
import { RequestLimits } from "../limits/request-limits.js";
import { Problem } from "../problems/problem.js";
import {
  type Caller,
  CREDENTIAL_READER,
  type CredentialReader,
  callerOf,
  type Role,
  rememberCaller,
  type Scope,
} from "./account.js";
import { EVEN_SUSPENDED, NEEDED_ROLES, NEEDED_SCOPE } from "./decorators.js";
import { isRead } from "./is-read.js";
import { requestOf } from "./request-of.js";

/** Looks up the caller of every request of both APIs, once, and holds it against what the handler needs. */
@Injectable()
export class SessionGuard implements CanActivate {
  constructor(
    private readonly reflector: Reflector,
    @Inject(CREDENTIAL_READER) private readonly credentials: CredentialReader,
    private readonly requestLimits: RequestLimits,
  ) {}

  async canActivate(context: ExecutionContext): Promise<boolean> {
    const caller = await this.identify(requestOf(context));
    if (caller?.scopes) requireScope(caller.scopes, this.scopeNeeded(context));
    if (caller?.isSuspended && !this.mayBeSuspended(context)) throw suspended();
    const needed = this.needed<Role[]>(NEEDED_ROLES, context);
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

  private mayBeSuspended(context: ExecutionContext): boolean {
    if (this.needed<boolean>(EVEN_SUSPENDED, context)) return true;
    return this.needed<Scope | null>(NEEDED_SCOPE, context) === "read" || isRead(context);
  }

  private needed<T>(metadata: string, context: ExecutionContext): T | undefined {
    return this.reflector.getAllAndOverride<T | undefined>(metadata, [context.getHandler(), context.getClass()]);
  }

  /** Null where no key is good enough. */
  private scopeNeeded(context: ExecutionContext): Scope | null {
    const said = this.needed<Scope | null>(NEEDED_SCOPE, context);
    return said === undefined ? (isRead(context) ? "read" : "write") : said;
  }

  private async identify(request: FastifyRequest): Promise<Caller | null> {
    const known = callerOf(request);
    if (known !== undefined) return known;
    const { authorization } = request.headers;
    let caller: Caller | null = null;
    if (authorization !== undefined) {
      const credential = /^Bearer ([\w-]{43,50})$/i.exec(authorization)?.[1];
      caller = credential ? await this.credentials.callerOf(credential) : null;
      if (!caller) {
        await this.requestLimits.disown(request);
        throw new Problem("invalid-session", "Open a new one with POST /v1/sessions.");
      }
    }
    rememberCaller(request, caller);
    return caller;
  }
}

function suspended(): Problem {
  return new Problem(
    "account-suspended",
    "A moderator has suspended the account: it may read, and nothing else. Its runs stay in the record and do not count.",
  );
}

function requireScope(scopes: readonly Scope[], needed: Scope | null): void {
  if (needed === null) throw new Problem("scope-required", "No key may do this. Open a session.");
  if (!scopes.includes(needed)) {
    throw new Problem("scope-required", `The key lacks the scope ${needed}. Create another key, or open a session.`, {
      extensions: { scope: needed },
    });
  }
}
