import type { Database } from "../database/database.js";
import { linksAfter, type StoredLink } from "./chain.repository.js";
import { BEFORE_THE_FIRST, digestOfReason, hashOfLink } from "./link.js";

const AT_A_TIME = 1_000;

export interface ChainReport {
  readonly links: number;
  /** Hash of the last link that holds, hexadecimal. */
  readonly lastHash: string;
  /** The first link that does not hold, and why; null when all hold. */
  readonly broken: { readonly position: number; readonly why: string } | null;
  /** Whether the hash that was asked for is one of the chain; null when none was. */
  readonly containsHash: boolean | null;
}

/**
 * Computes the chain anew, link by link. A chain that was cut at its end holds in itself: whoever noted an earlier
 * `lastHash` asks for it with `noted`.
 */
export async function verifyChain(database: Database, noted: string | null = null): Promise<ChainReport> {
  let [links, lastHash] = [0, BEFORE_THE_FIRST];
  let containsHash = noted === null ? null : noted === BEFORE_THE_FIRST;
  for (;;) {
    const read = await linksAfter(database, links, AT_A_TIME);
    for (const link of read) {
      const why = faultOf(link, links + 1, lastHash);
      if (why) return { links, lastHash, broken: { position: links + 1, why }, containsHash };
      [links, lastHash] = [link.position, link.hash];
      if (link.hash === noted) containsHash = true;
    }
    if (read.length < AT_A_TIME) return { links, lastHash, broken: null, containsHash };
  }
}

function faultOf({ hash, words, ...link }: StoredLink, position: number, previous: string): string | null {
  if (link.position !== position) return `it is missing; the next one is ${link.position}`;
  if (link.previous !== previous) return "it does not follow the link before";
  if (hashOfLink(link) !== hash) return "it was changed";
  if (words && digestOfReason(words.salt, words.text) !== link.reason) return "the words of its reason were changed";
  return null;
}
