import { Agent, request } from "node:http";
import { setTimeout as delay } from "node:timers/promises";
import { parentPort, workerData } from "node:worker_threads";

const EVERY_MS = 20;
/** Counts as long as that where no answer comes at all. */
const GIVEN_UP_MS = 60_000;

/** Reads one request after the other, and times each answer. */
class Reader {
  private readonly milliseconds: number[] = [];
  private readonly agent = new Agent({ keepAlive: true, maxSockets: 1 });
  private isReading = true;
  private readonly done: Promise<void>;

  constructor(private readonly address: string) {
    this.done = this.read();
  }

  /** Resolves with the time within which 99 % of the answers came, ms. */
  async stop(): Promise<number> {
    this.isReading = false;
    await this.done;
    this.agent.destroy();
    const sorted = this.milliseconds.toSorted((one, other) => one - other);
    return sorted[Math.ceil(sorted.length * 0.99) - 1] ?? Number.NaN;
  }

  private async read(): Promise<void> {
    while (this.isReading) {
      const started = performance.now();
      const isAnswered = await this.readOnce();
      this.milliseconds.push(isAnswered ? performance.now() - started : GIVEN_UP_MS);
      await delay(EVERY_MS);
    }
  }

  private readOnce(): Promise<boolean> {
    return new Promise((resolve) => {
      const asked = request(this.address, { agent: this.agent, timeout: GIVEN_UP_MS }, (answer) => {
        answer.resume();
        answer.on("end", () => resolve(answer.statusCode === 200));
        answer.on("error", () => resolve(false));
      });
      asked.on("timeout", () => asked.destroy());
      asked.on("error", () => resolve(false));
      asked.end();
    });
  }
}

const reader = new Reader(workerData as string);
parentPort?.once("message", async () => parentPort?.postMessage(await reader.stop()));
