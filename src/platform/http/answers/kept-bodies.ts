import { LRUCache } from "lru-cache";

/** Bytes of all bodies that are kept, and of the largest of them. */
const MAX_BYTES = 8 * 2 ** 20;
const MAX_BODY_BYTES = 2 ** 19;

/** What was answered: the body as it is sent, and its media type. */
export interface KeptBody {
  readonly body: string | Buffer;
  readonly contentType: string;
}

/** Bodies of public answers that took long to make, under what tells each from every other: those asked for last, within a few mebibytes. */
export class KeptBodies {
  private readonly bodies = new LRUCache<string, KeptBody>({
    maxSize: MAX_BYTES,
    maxEntrySize: MAX_BODY_BYTES,
    sizeCalculation: ({ body }, key) => Buffer.byteLength(body) + key.length,
  });

  get(key: string): KeptBody | undefined {
    return this.bodies.get(key);
  }

  keep(key: string, body: KeptBody): void {
    this.bodies.set(key, body);
  }
}
