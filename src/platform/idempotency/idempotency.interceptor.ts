import { type CallHandler, type ExecutionContext, Injectable, type NestInterceptor } from "@nestjs/common";
import { Reflector } from "@nestjs/core";
import type { FastifyReply, FastifyRequest } from "fastify";
import { from, lastValueFrom, type Observable } from "rxjs";
import { findInvalidText } from "../../core/inputs/invalid-text.js";
import { acceptedType, negotiatedTypesOf } from "../http/requests/accept.guard.js";
import { Problem } from "../problems/problem.js";
import { ANSWER_HOLDS_SECRET, MADE_ONCE } from "./answer-holds-secret.js";
import { Idempotency } from "./idempotency.js";
import { readKey } from "./key.js";

/**
 * Heeds `Idempotency-Key` on every POST of the REST API. A multipart body is not read yet at this point: whoever
 * receives it says what it brought.
 */
@Injectable()
export class IdempotencyInterceptor implements NestInterceptor {
  constructor(
    private readonly reflector: Reflector,
    private readonly idempotency: Idempotency,
  ) {}

  intercept(context: ExecutionContext, next: CallHandler): Observable<unknown> {
    if (context.getType<string>() !== "http") return next.handle();
    const request = context.switchToHttp().getRequest<FastifyRequest>();
    if (request.method !== "POST" || readKey(request) === null) return next.handle();
    const madeOnce = this.reflector.get<string | undefined>(MADE_ONCE, context.getHandler());
    const isKeptNowhere = this.reflector.get(ANSWER_HOLDS_SECRET, context.getHandler()) && madeOnce === undefined;
    if (isKeptNowhere || request.isMultipart()) return next.handle();
    const reply = context.switchToHttp().getResponse<FastifyReply>();
    const { body = null } = request;
    // What no input can be made of is refused by every handler, and may be nested too deep to be told from another.
    if (body !== null && findInvalidText(body)) return next.handle();
    const payload = JSON.stringify(body) + this.askedForm(context, request);
    const onRetry = madeOnce === undefined ? undefined : shownOnce(madeOnce);
    return from(this.idempotency.once(request, reply, payload, () => lastValueFrom(next.handle()), onRetry));
  }

  /** Of what comes in several forms, the one that is asked for by `Accept`; empty for the usual one, and for what has no body. */
  private askedForm(context: ExecutionContext, request: FastifyRequest): string {
    const types = negotiatedTypesOf(this.reflector, context.getHandler());
    if (types.length === 0) return "";
    const type = acceptedType(request, types);
    return type === types[0] ? "" : `\n${type}`;
  }
}

function shownOnce(what: string): Problem {
  return new Problem(
    "already-exists",
    `The first request with this idempotency key made the ${what}, which is shown once. Delete it from the list, and make another.`,
  );
}
