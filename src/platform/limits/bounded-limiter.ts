import { LRUCache } from "lru-cache";
import { RateLimiterMemory, type RateLimiterRes } from "rate-limiter-flexible";
import { consume } from "./consume.js";
import { lazily } from "./lazily.js";

/** Most keys that are counted at a time; beyond it the one not seen for longest is forgotten. Some 10 MiB. */
const MAX_KEYS = 20_000;

/** So many requests within a fixed window for each key, counted in this process alone. */
export class BoundedLimiter {
  private readonly limiter: RateLimiterMemory;
  /** Takes the room of all its keys when it is made: many a process never counts one. */
  private readonly seen: () => LRUCache<string, true>;

  /** @param name of the limit, as its header fields show it */
  constructor(
    readonly name: string,
    readonly points: number,
    readonly windowSeconds: number,
    maxKeys = MAX_KEYS,
  ) {
    this.limiter = new RateLimiterMemory({ points, duration: windowSeconds });
    const dispose = (_: true, key: string, why: string) => why === "evict" && this.limiter.delete(key);
    this.seen = lazily(() => new LRUCache({ max: maxKeys, dispose }));
  }

  /** Counts one. More than `points` consumed is too many. */
  count(key: string): Promise<RateLimiterRes> {
    this.seen().set(key, true);
    return consume(this.limiter, key);
  }

  /** Takes back one that was counted. */
  async takeBack(key: string): Promise<void> {
    if (this.seen().has(key)) await this.limiter.reward(key);
  }

  /** How many keys are counted. */
  get size(): number {
    return this.limiter.dump().storage.length;
  }
}
