import DataLoader from "dataloader";
import { type GuardedContext } from "./execution/guard-resolvers.js";
import { turns } from "./execution/turns.js";

/**
 * Reads what many fields of one operation ask for together: each key once, however many fields and aliases ask for it, in
 * slices of bounded size, one after the other. An operation that was stopped reads no further slice.
 */
export class Loader<V> {
  private readonly ofOperation = new WeakMap<object, DataLoader<string, V | null>>();

  constructor(
    /** Most keys that are read at once. */
    private readonly sliceSize: number,
    private readonly read: (keys: readonly string[]) => Promise<ReadonlyMap<string, V>>,
  ) {}

  /** What a key stands for, or null. */
  load(operation: GuardedContext, key: string): Promise<V | null> {
    let loader = this.ofOperation.get(operation);
    if (!loader) {
      loader = new DataLoader((keys) => this.readSlices(operation, keys), { batchScheduleFn: afterOthers });
      this.ofOperation.set(operation, loader);
    }
    return loader.load(key);
  }

  private async readSlices({ budget }: GuardedContext, keys: readonly string[]): Promise<(V | null)[]> {
    const values: (V | null)[] = [];
    for (let from = 0; from < keys.length; from += this.sliceSize) {
      budget?.check();
      const slice = keys.slice(from, from + this.sliceSize);
      const found = await this.read(slice);
      for (const key of slice) values.push(found.get(key) ?? null);
    }
    return values;
  }
}

/** Fields that wait for a later turn ask for their keys before the batch is read. */
function afterOthers(dispatch: () => void): void {
  setImmediate(() => (turns.isOver() ? void turns.later(dispatch) : dispatch()));
}
