import { once } from "node:events";
import { Worker } from "node:worker_threads";

/** Somebody else who reads meanwhile, on a thread of its own: what the attacker is busy with does not slow it. */
export class Reader {
  private readonly thread: Worker;

  constructor(address: string) {
    this.thread = new Worker(new URL("reader-thread.js", import.meta.url), { workerData: address });
  }

  /** Resolves with the time within which 99 % of the answers came, ms. */
  async stop(): Promise<number> {
    const answer = once(this.thread, "message");
    this.thread.postMessage("stop");
    const [milliseconds] = await answer;
    return milliseconds as number;
  }
}
