import { type CanActivate, type ExecutionContext, Injectable } from "@nestjs/common";
import { isRead } from "../../auth/is-read.js";
import { requestOf } from "../../auth/request-of.js";
import { Problem } from "../../problems/problem.js";

/**
 * Performs no change under a condition that is false (RFC 9110, 13.1.1). `If-Match` compares strongly, and every tag of what can be
 * changed here is weak: no list of tags can match, and `*` does.
 */
@Injectable()
export class PreconditionGuard implements CanActivate {
  canActivate(context: ExecutionContext): boolean {
    const condition = requestOf(context).headers["if-match"];
    if (condition === undefined || condition.trim() === "*" || isRead(context)) return true;
    throw new Problem(
      "precondition-failed",
      "Nothing was changed. All tags here are weak, and If-Match takes no weak one: leave it out, or send *.",
    );
  }
}
