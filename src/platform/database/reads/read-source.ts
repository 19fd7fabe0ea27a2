import { AsyncLocalStorage } from "node:async_hooks";

/** Where statements are done: at the database that takes writes, or at a copy of it that follows. */
export type ReadSource = "primary" | "replica";

const sources = new AsyncLocalStorage<ReadSource>();

/** Does something, and all that follows from it, with statements at the replica. */
export function fromReplica<T>(work: () => T): T {
  return sources.run("replica", work);
}

/**
 * Where statements that are asked for now are done. What is kept in memory of the record and brought up to date by reading is kept
 * once for each source: the replica is always the older one, and what came from one must not be taken for what the other shows.
 */
export function readSource(): ReadSource {
  return sources.getStore() ?? "primary";
}
