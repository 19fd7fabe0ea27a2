import type { LogAnswer, LogQuestion } from "../log/messages.js";

/** The worker that reads logs. Where it ends by itself, which a log too large for the device can bring about, the next question starts another. */
export class LogWorkerClient {
  /** From the start, so that its script is there before a log is. */
  private worker: Worker | null;

  /**
   * @param hear takes every answer
   * @param failed told when the worker could not be started, or ended
   */
  constructor(
    private readonly hear: (answer: LogAnswer) => void,
    private readonly failed: (message: string) => void,
  ) {
    this.worker = this.start();
  }

  ask(question: LogQuestion): void {
    this.worker ??= this.start();
    this.worker.postMessage(question);
  }

  private start(): Worker {
    const worker = new Worker(new URL("./log-worker.js", import.meta.url), { type: "module" });
    const end = (event: Event) => {
      event.preventDefault();
      worker.terminate();
      this.worker = null;
      const { message } = event as ErrorEvent;
      this.failed(message ? message : "its script could not be loaded, or it was ended");
    };
    worker.addEventListener("message", ({ data }: MessageEvent<LogAnswer>) => this.hear(data));
    worker.addEventListener("error", end);
    worker.addEventListener("messageerror", end);
    return worker;
  }
}
