import { setTimeout as delay } from "node:timers/promises";
import { Logger } from "@nestjs/common";
import { programVersion } from "../config/program-version.js";
import { otlpBody } from "./otlp.js";
import type { EndedSpan } from "./tracer.js";
import type { TracingConfig } from "./tracing-config.js";

/** Spans that wait to be sent; what comes beyond is dropped and counted. */
const MAX_WAITING = 4_096;
const AT_ONCE = 512;
const EVERY_MS = 2_000;
const PATIENCE_MS = 10_000;
/** Tries at one body, and the pause before another, ms, where the collector names none. */
const TRIES = 4;
const PAUSE_MS = 1_000;
const MAX_PAUSE_MS = 10_000;
/** What a collector asks to send again later (OTLP: failures, retryable response codes). */
const AGAIN = new Set([429, 502, 503, 504]);

/** Sends spans to a collector, many at once and in the background. That it fails is told, and holds up nothing. */
export class Exporter {
  private readonly logger = new Logger("Tracing");
  private readonly version = programVersion();
  private waiting: EndedSpan[] = [];
  private dropped = 0;
  private sending: Promise<void> = Promise.resolve();
  private readonly timer: NodeJS.Timeout;

  constructor(private readonly config: TracingConfig) {
    this.timer = setInterval(() => this.flush(), EVERY_MS);
    this.timer.unref();
  }

  readonly take = (span: EndedSpan): void => {
    if (this.waiting.length >= MAX_WAITING) this.dropped++;
    else this.waiting.push(span);
    if (this.waiting.length === AT_ONCE) this.flush();
  };

  /** Sends what waits, and ends. */
  async stop(): Promise<void> {
    clearInterval(this.timer);
    await this.flush();
  }

  private flush(): Promise<void> {
    this.sending = this.sending.then(() => this.sendAll());
    return this.sending;
  }

  private async sendAll(): Promise<void> {
    if (this.dropped > 0) this.logger.warn(`${this.dropped} spans were dropped: the collector is too slow`);
    this.dropped = 0;
    while (this.waiting.length > 0) {
      const spans = this.waiting.splice(0, AT_ONCE);
      const failure = await this.send(JSON.stringify(otlpBody(spans, this.config, this.version)));
      if (failure) this.logger.warn(`${spans.length} spans were not taken by the collector: ${failure}`);
    }
  }

  /** Null once it was taken. */
  private async send(body: string): Promise<string | null> {
    const headers = { ...this.config.headers, "content-type": "application/json" };
    let failure = "";
    for (let tries = 1; tries <= TRIES; tries++) {
      try {
        const signal = AbortSignal.timeout(PATIENCE_MS);
        const answer = await fetch(this.config.url, { method: "POST", headers, body, signal, redirect: "error" });
        await answer.arrayBuffer();
        if (answer.ok) return null;
        failure = `it answered ${answer.status}`;
        if (!AGAIN.has(answer.status)) return failure;
        const seconds = Number(answer.headers.get("retry-after"));
        if (tries < TRIES) await delay(seconds > 0 ? Math.min(seconds * 1_000, MAX_PAUSE_MS) : PAUSE_MS);
      } catch (error) {
        failure = (error as Error).message;
        if (tries < TRIES) await delay(PAUSE_MS);
      }
    }
    return failure;
  }
}
