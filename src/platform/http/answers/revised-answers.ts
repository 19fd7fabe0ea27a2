import { LRUCache } from "lru-cache";
import type { ReadRevision } from "../../database/reads/read-revision.js";

const MAX_BYTES = 16 * 1024 * 1024;
const MAX_BYTES_OF_ONE = 512 * 1024;

/** Keeps whole answers to what is asked again and again, until what they are read from changes. */
export class RevisedAnswers<Answer extends { readonly body: string | null }> {
  private readonly kept = new LRUCache<string, { readonly revision: string; readonly answer: Answer }>({
    maxSize: MAX_BYTES,
    maxEntrySize: MAX_BYTES_OF_ONE,
    sizeCalculation: ({ answer }, key) => (answer.body?.length ?? 0) + key.length,
  });

  /** Whether there was such an answer at all. */
  has(key: string): boolean {
    return this.kept.has(key);
  }

  /** The answer to the same request, when it still holds. */
  async find(key: string, readRevision: ReadRevision): Promise<Answer | null> {
    const known = this.kept.get(key);
    if (!known) return null;
    return known.revision === (await readRevision()) ? known.answer : null;
  }

  keep(key: string, revision: string, answer: Answer): void {
    this.kept.set(key, { revision, answer });
  }
}
