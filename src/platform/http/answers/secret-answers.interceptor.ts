import { type CallHandler, type ExecutionContext, Injectable, type NestInterceptor } from "@nestjs/common";
import { Reflector } from "@nestjs/core";
import type { Observable } from "rxjs";
import { requestOf } from "../../auth/request-of.js";
import { ANSWER_HOLDS_SECRET } from "../../idempotency/answer-holds-secret.js";
import { leaveUncompressed } from "./compression.js";

/** Leaves answers of both APIs that hold a secret uncompressed. */
@Injectable()
export class SecretAnswersInterceptor implements NestInterceptor {
  constructor(private readonly reflector: Reflector) {}

  intercept(context: ExecutionContext, next: CallHandler): Observable<unknown> {
    if (this.reflector.get(ANSWER_HOLDS_SECRET, context.getHandler())) leaveUncompressed(requestOf(context));
    return next.handle();
  }
}
