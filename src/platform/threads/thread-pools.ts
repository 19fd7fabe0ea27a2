import { join } from "node:path";
import { Piscina } from "piscina";
import { projectRoot } from "../config/project-root.js";

/** Pools of this process, by how many threads they may have, each with how many use it. */
const pools = new Map<number, { readonly pool: Piscina; users: number }>();

/** Threads of this process, shared by all who ask for as many; a pool ends with its last user. */
export class ThreadPool {
  private readonly shared: { readonly pool: Piscina; users: number };

  /** @param threads the most that compute at a time */
  constructor(private readonly threads: number) {
    this.shared = pools.get(threads) ?? { pool: openPool(threads), users: 0 };
    this.shared.users++;
    pools.set(threads, this.shared);
  }

  readonly run: Piscina["run"] = (task, options) => this.shared.pool.run(task, options);

  /** What still computes is ended where nobody else uses the pool. */
  async close(): Promise<void> {
    if (--this.shared.users > 0) return;
    pools.delete(this.threads);
    await this.shared.pool.close({ force: true });
  }
}

function openPool(threads: number): Piscina {
  return new Piscina({
    filename: join(projectRoot, "dist/src/platform/threads/compute-thread.js"),
    // With none to begin with, what waits behind a computation that was ended would wait for ever.
    minThreads: 1,
    maxThreads: threads,
    idleTimeout: 30_000,
    resourceLimits: { maxOldGenerationSizeMb: 384 },
  });
}
