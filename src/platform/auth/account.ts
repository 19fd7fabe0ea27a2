import type { FastifyRequest } from "fastify";

export const ROLES = ["tester", "moderator", "administrator"] as const;
export type Role = (typeof ROLES)[number];

/** Who is asking. */
export interface Caller {
  readonly id: string;
  readonly handle: string;
  readonly role: Role;
}

/** Finds who a session token belongs to; null when it is unknown or has expired. Given by the accounts feature. */
export interface SessionReader {
  callerOf(token: string): Promise<Caller | null>;
}

export const SESSION_READER = Symbol("session reader");

const callers = new WeakMap<FastifyRequest, Caller | null>();

export function rememberCaller(request: FastifyRequest, caller: Caller | null): void {
  callers.set(request, caller);
}

/** Who sent the request; undefined before the guard has looked. */
export function callerOf(request: FastifyRequest): Caller | null | undefined {
  return callers.get(request);
}
