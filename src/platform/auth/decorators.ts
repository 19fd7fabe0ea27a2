import { applyDecorators, createParamDecorator, type ExecutionContext, SetMetadata } from "@nestjs/common";
import { ApiBearerAuth } from "@nestjs/swagger";
import { type Caller, callerOf, type Role, type Scope } from "./account.js";
import { requestOf } from "./request-of.js";

export const NEEDED_ROLES = "needed roles";
export const NEEDED_SCOPE = "needed scope";
export const EVEN_SUSPENDED = "even suspended";

/** The caller, or null without a session or key. */
export const CurrentAccount = createParamDecorator(
  (_: unknown, context: ExecutionContext): Caller | null => callerOf(requestOf(context)) ?? null,
);

/** Only with a session or key, whatever the role. */
export function Authenticated() {
  return applyDecorators(SetMetadata(NEEDED_ROLES, []), ApiBearerAuth());
}

/**
 * Only with one of these roles; an administrator may do all that a moderator may. A key needs the scope `review` for what
 * a moderator does, and is never good for what only an administrator does.
 */
export function Roles(...roles: Role[]) {
  const isForModerators = roles.includes("moderator");
  const needed = isForModerators ? [...roles, "administrator"] : roles;
  const scope: Scope | null = isForModerators ? "review" : null;
  return applyDecorators(SetMetadata(NEEDED_ROLES, needed), SetMetadata(NEEDED_SCOPE, scope), ApiBearerAuth());
}

/** Only with a session: a key that leaked must not be able to make others, or to take the account over. */
export function SessionOnly() {
  return applyDecorators(SetMetadata(NEEDED_ROLES, []), SetMetadata(NEEDED_SCOPE, null), ApiBearerAuth());
}

/** What a suspended account may do beside reading: end its sessions, and have its personal data erased. */
export function EvenSuspended() {
  return SetMetadata(EVEN_SUSPENDED, true);
}

/** The scope that a key needs here, where it is not `read` for reads and `write` for all else. */
export function KeyScope(scope: Scope) {
  return SetMetadata(NEEDED_SCOPE, scope);
}
