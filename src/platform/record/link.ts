import { createHash } from "node:crypto";
import canonicalize from "canonicalize";

/** What a transition is about. */
export type SubjectKind = "run" | "account" | "key" | "protocol" | "acceptance-rule";

/** One link of the chain, as its hash covers it. */
export interface Link {
  /** 1, 2, 3 ... */
  readonly position: number;
  /** RFC 3339 in UTC, to the millisecond. */
  readonly at: string;
  readonly actor: string | null;
  readonly event: string;
  readonly subject: { readonly kind: string; readonly id: string };
  readonly from: string | null;
  readonly to: string | null;
  readonly rules: readonly string[];
  /** Digest of the reason, hexadecimal; its words may be gone. */
  readonly reason: string | null;
  /** Hash of the link before, hexadecimal. */
  readonly previous: string;
}

/** Stands for the link before the first one. */
export const BEFORE_THE_FIRST = "00".repeat(32);

/** SHA-256, hexadecimal, over the link's canonical JSON (RFC 8785). */
export function hashOfLink(link: Link): string {
  const text = canonicalize(link);
  if (text === undefined) throw new Error("a link has no canonical form");
  return createHash("sha256").update(text).digest("hex");
}

/** SHA-256, hexadecimal, over salt and text: without the salt, the words cannot be guessed from it. */
export function digestOfReason(salt: Uint8Array, text: string): string {
  return createHash("sha256").update(salt).update(text).digest("hex");
}
