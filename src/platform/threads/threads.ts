import { join } from "node:path";
import { isNativeError } from "node:util/types";
import { MessageChannel } from "node:worker_threads";
import { Inject, Injectable, type OnApplicationShutdown } from "@nestjs/common";
import type { Piscina } from "piscina";
import { CONFIG, type Config } from "../config/config.js";
import { projectRoot } from "../config/project-root.js";
import { closedLanes, type Lane } from "../queue/lanes.js";
import { tracer } from "../tracing/tracer.js";
import type { ThreadMessage, ThreadTask } from "./compute-thread.js";
import { FairQueue } from "./fair-queue.js";
import { ThreadPool } from "./thread-pools.js";

type Transferable = NonNullable<NonNullable<Parameters<Piscina["run"]>[1]>["transferList"]>[number];

export interface ThreadCall {
  /** The module from the project's folder, as it is built: "src/core/evaluate.js". */
  readonly module: string;
  /** The function that the module exports: plain data in, plain data out. */
  readonly name: string;
  /** Buffers that are handed over instead of copied. */
  readonly transfer?: readonly Transferable[];
  /** Takes what the function tells while it computes, by the function that it is given beside its input. */
  readonly onMessage?: (message: unknown) => void;
  /** How long it may compute once it has its thread, ms; then it is ended, and its thread with it. */
  readonly limitMs?: number;
  /** For whom it is computed: threads are shared fairly between these. One share for all who only read when left out. */
  readonly share?: string;
  /** Which of the threads it may take; any when left out. */
  readonly lane?: Lane | null;
}

/** A computation that waits for its thread. */
interface Waiting {
  readonly lane: Lane | null;
  readonly begin: () => void;
}

/** A computation was ended since it took longer than its limit. */
export class TimeLimitPassed extends Error {
  override readonly name = "TimeLimitPassed";
}

/** A computation was ended since it took more memory than its thread may have. */
export class MemoryLimitPassed extends Error {
  override readonly name = "MemoryLimitPassed";
}

/** Threads for long computations, so that none of them holds up an answer. */
@Injectable()
export class Threads implements OnApplicationShutdown {
  private readonly pool: ThreadPool;
  /** What stops each computation that runs, or waits in the pool. */
  private readonly stops = new Set<AbortController>();
  private readonly waiting = new FairQueue<Waiting>();
  private readonly running = { any: 0, long: 0, background: 0 };
  private readonly places: number;
  private stopped = false;

  constructor(@Inject(CONFIG) config: Config) {
    this.places = config.evaluationThreads;
    this.pool = new ThreadPool(config.evaluationThreads);
  }

  /** @throws TimeLimitPassed when it takes longer than `limitMs`; MemoryLimitPassed; what the function throws */
  async run<Input, Output>(call: ThreadCall, input: Input): Promise<Output> {
    const { share = "readers", lane = null } = call;
    await new Promise<void>((begin) => {
      this.waiting.add(share, { lane, begin });
      this.beginNext();
    });
    try {
      const compute = () => this.compute<Input, Output>(call, input);
      return await (tracer()?.span(`compute ${call.name}`, {}, compute) ?? compute());
    } finally {
      this.running.any--;
      if (lane) this.running[lane]--;
      this.beginNext();
    }
  }

  /** Lets what is next begin while there is a thread for it. */
  private beginNext(): void {
    while (this.running.any < this.places) {
      const closed = closedLanes(this.running, this.places);
      const next = this.waiting.take(({ lane }) => lane === null || !closed.includes(lane));
      if (!next) return;
      this.running.any++;
      if (next.lane) this.running[next.lane]++;
      next.begin();
    }
  }

  private async compute<Input, Output>(call: ThreadCall, input: Input): Promise<Output> {
    const { module, name, transfer = [], onMessage, limitMs } = call;
    if (this.stopped) throw new Error("The service stops");
    const stop = new AbortController();
    this.stops.add(stop);
    let timer: NodeJS.Timeout | undefined;
    const { port1, port2 } = new MessageChannel();
    port1.on("message", (message: ThreadMessage) => {
      if ("told" in message) onMessage?.(message.told);
      else if (limitMs !== undefined)
        timer = setTimeout(() => stop.abort(new TimeLimitPassed(`${name} took longer than ${limitMs} ms`)), limitMs);
    });
    const task: ThreadTask = { file: join(projectRoot, "dist", module), name, input, port: port2 };
    try {
      return (await this.pool.run(task, { transferList: [...transfer, port2], signal: stop.signal })) as Output;
    } catch (error) {
      if (stop.signal.aborted) throw stop.signal.reason;
      if (isOutOfMemory(error)) throw new MemoryLimitPassed(`${name} took too much memory`, { cause: error });
      throw error;
    } finally {
      clearTimeout(timer);
      port1.close();
      this.stops.delete(stop);
    }
  }

  async onApplicationShutdown(): Promise<void> {
    this.stopped = true;
    for (const stop of this.stops) stop.abort(new Error("The service stops"));
    await this.pool.close();
  }
}

const isOutOfMemory = (error: unknown): boolean =>
  isNativeError(error) && "code" in error && error.code === "ERR_WORKER_OUT_OF_MEMORY";
