import { createHash } from "node:crypto";
import canonicalize from "canonicalize";

/** What an entry is about. */
export type SubjectKind =
  | "run"
  | "evaluation"
  | "account"
  | "key"
  | "protocol"
  | "auto-accept-policy"
  | "pack"
  | "specimen"
  | "bench"
  | "tester"
  | "standing"
  | "standing-policy";

/** One entry of the audit log, as its hash covers it. */
export interface AuditEntry {
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
  /** Digest of the reason, hexadecimal; the reason itself may have been erased. */
  readonly reasonDigest: string | null;
  /** Hash of the entry before, hexadecimal. */
  readonly previous: string;
}

/** Stands for the entry before the first one. */
export const BEFORE_THE_FIRST = "00".repeat(32);

/** SHA-256, hexadecimal, over the entry's canonical JSON (RFC 8785). */
export function hashOfEntry(entry: AuditEntry): string {
  const text = canonicalize(entry);
  if (text === undefined) throw new Error("an entry has no canonical form");
  return createHash("sha256").update(text).digest("hex");
}

/** An entry before it has a place in the chain, and so a time. */
export type UnplacedEntry = Omit<AuditEntry, "position" | "at" | "previous">;

/** The canonical JSON of an entry in three parts: between the first two stands its time, between the last two its position and the hash before it. */
export function canonicalParts({ actor, event, subject, from, to, rules, reasonDigest }: UnplacedEntry): string[] {
  const members = (some: object) => (canonicalize(some) as string).slice(1, -1);
  return [
    `{${members({ actor })},"at":"`,
    `",${members({ event, from })},"position":`,
    `",${members({ reasonDigest, rules, subject, to })}}`,
  ];
}

/** SHA-256, hexadecimal, over salt and text: without the salt, the words cannot be guessed from it. */
export function digestOfReason(salt: Uint8Array, text: string): string {
  return createHash("sha256").update(salt).update(text).digest("hex");
}
