import type { FastifyRequest } from "fastify";

export const ROLES = ["tester", "moderator", "administrator"] as const;
export type Role = (typeof ROLES)[number];

/** What a key may be used for: reading, changing what is one's own, deciding on runs of others. */
export const SCOPES = ["read", "write", "review"] as const;
export type Scope = (typeof SCOPES)[number];

/** Who is asking. */
export interface Caller {
  readonly id: string;
  readonly handle: string;
  /** What may be done here and now: with a key, no more than its scopes say. */
  readonly role: Role;
  /** What the key may be used for; null with a session, which may be used for everything. */
  readonly scopes: readonly Scope[] | null;
  /** Id of the session or key that came with the request. */
  readonly credentialId: string;
  /** A suspended account may only read, and go. */
  readonly isSuspended: boolean;
}

/** Finds who a session's token or a key belongs to. Given by the accounts feature. */
export interface CredentialReader {
  /** Null when it is unknown or has expired. */
  callerOf(credential: string): Promise<Caller | null>;
  /** A caller as they are now, by the session or key that they came with; null when that has ended. */
  again(caller: Caller): Promise<Caller | null>;
}

export const CREDENTIAL_READER = Symbol("credential reader");

const callers = new WeakMap<FastifyRequest, Caller | null>();

export function rememberCaller(request: FastifyRequest, caller: Caller | null): void {
  callers.set(request, caller);
}

/** Who sent the request; undefined before the guard has looked. */
export function callerOf(request: FastifyRequest): Caller | null | undefined {
  return callers.get(request);
}
