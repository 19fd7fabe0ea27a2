import type { Database } from "../database/database.js";
import { BEFORE_THE_FIRST, digestOfReason, hashOfEntry } from "./audit-entry.js";
import { entriesAfter, type StoredAuditEntry } from "./audit-log.repository.js";

const AT_A_TIME = 1_000;

export interface ChainReport {
  readonly entries: number;
  /** Hash of the last entry that holds, hexadecimal. */
  readonly lastHash: string;
  /** The first entry that does not hold, and why; null when all hold. */
  readonly broken: { readonly position: number; readonly why: string } | null;
  /** Whether the hash that was asked for is one of the chain; null when none was. */
  readonly containsHash: boolean | null;
  /** Hash of the entry at the position that was asked for; null when the chain is shorter, or none was. */
  readonly hashAt: string | null;
}

/**
 * Computes the chain anew, entry by entry. A chain whose end was cut off is consistent in itself: pass a `lastHash` noted
 * earlier as `noted`, or the `position` of a checkpoint, to detect that.
 */
export async function verifyChain(
  database: Database,
  noted: string | null = null,
  position: number | null = null,
): Promise<ChainReport> {
  let [entries, lastHash] = [0, BEFORE_THE_FIRST];
  let containsHash = noted === null ? null : noted === BEFORE_THE_FIRST;
  let hashAt = position === 0 ? BEFORE_THE_FIRST : null;
  for (;;) {
    const read = await entriesAfter(database, entries, AT_A_TIME);
    for (const entry of read) {
      const why = faultIn(entry, entries + 1, lastHash);
      if (why) return { entries, lastHash, broken: { position: entries + 1, why }, containsHash, hashAt };
      [entries, lastHash] = [entry.position, entry.hash];
      if (entry.hash === noted) containsHash = true;
      if (entries === position) hashAt = entry.hash;
    }
    if (read.length < AT_A_TIME) return { entries, lastHash, broken: null, containsHash, hashAt };
  }
}

function faultIn({ hash, reason, ...entry }: StoredAuditEntry, position: number, previous: string): string | null {
  if (entry.position !== position) return `it is missing; the next one is ${entry.position}`;
  if (entry.previous !== previous) return "it does not follow the entry before";
  if (hashOfEntry(entry) !== hash) return "it was changed";
  if (reason && digestOfReason(reason.salt, reason.text) !== entry.reasonDigest) return "its reason was changed";
  return null;
}
