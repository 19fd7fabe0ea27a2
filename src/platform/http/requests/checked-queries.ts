import type { Type } from "@nestjs/common";
import { LRUCache } from "lru-cache";

/** Queries that are remembered, of all routes together, and the longest of them, characters of JSON. */
const MAX_QUERIES = 2_000;
const MAX_LENGTH = 500;

/**
 * Query parameters that were found in order: apps ask for the same pages again and again, and checking them anew costs more than the
 * rest of an answer that the reader has already. What was found is shared by all who ask so, and frozen.
 */
export class CheckedQueries {
  private readonly found = new LRUCache<string, object>({ max: MAX_QUERIES });
  private readonly numbers = new Map<Type, number>();

  /**
   * @param type the input class
   * @param query the parameters as texts or lists of texts
   * @param check what they come to; a query that it throws for is not remembered
   */
  of(type: Type, query: unknown, check: () => Promise<object>): Promise<object> {
    const text = JSON.stringify(query);
    if (text.length > MAX_LENGTH) return check();
    const key = `${this.numberOf(type)} ${text}`;
    const known = this.found.get(key);
    if (known) return Promise.resolve(known);
    const checked = check();
    checked.then(
      (input) => {
        for (const value of Object.values(input)) Object.freeze(value);
        this.found.set(key, Object.freeze(input));
      },
      // Told to whoever asked.
      () => {},
    );
    return checked;
  }

  private numberOf(type: Type): number {
    const number = this.numbers.get(type) ?? this.numbers.size;
    this.numbers.set(type, number);
    return number;
  }
}
