import { LRUCache } from "lru-cache";
import type { ReadRevision } from "../revised.js";

/** An answer as it is sent. */
export interface WrittenAnswer {
  readonly body: string;
  readonly status: number;
  readonly mediaType: string;
}

const MAX_BYTES = 16 * 1024 * 1024;
const MAX_BYTES_OF_ONE = 512 * 1024;

/** Keeps whole answers to queries that are sent again and again, until what they are read from changes. */
export class RevisedAnswers {
  private readonly kept = new LRUCache<string, { readonly revision: string; readonly answer: WrittenAnswer }>({
    maxSize: MAX_BYTES,
    maxEntrySize: MAX_BYTES_OF_ONE,
    sizeCalculation: ({ answer }, key) => answer.body.length + key.length,
  });

  /** The answer to the same request, when it still holds. */
  async find(key: string, readRevision: ReadRevision): Promise<WrittenAnswer | null> {
    const known = this.kept.get(key);
    if (!known) return null;
    return known.revision === (await readRevision()) ? known.answer : null;
  }

  keep(key: string, revision: string, answer: WrittenAnswer): void {
    this.kept.set(key, { revision, answer });
  }
}
