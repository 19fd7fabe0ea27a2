import { applyDecorators, createParamDecorator, type ExecutionContext, SetMetadata } from "@nestjs/common";
import { ApiBearerAuth } from "@nestjs/swagger";
import { type Caller, callerOf, type Role } from "./account.js";
import { requestOf } from "./request-of.js";

export const NEEDED_ROLES = "needed roles";

/** The caller, or null without a session. */
export const CurrentAccount = createParamDecorator(
  (_: unknown, context: ExecutionContext): Caller | null => callerOf(requestOf(context)) ?? null,
);

/** Only with a session, whatever the role. */
export function Authenticated() {
  return applyDecorators(SetMetadata(NEEDED_ROLES, []), ApiBearerAuth());
}

/** Only with a session of one of these roles; an administrator may do all that a moderator may. */
export function Roles(...roles: Role[]) {
  const needed = roles.includes("moderator") ? [...roles, "administrator"] : roles;
  return applyDecorators(SetMetadata(NEEDED_ROLES, needed), ApiBearerAuth());
}
