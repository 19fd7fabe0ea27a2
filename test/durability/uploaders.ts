import { createHash } from "node:crypto";
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { setTimeout as delay } from "node:timers/promises";
import { projectRoot } from "../../src/platform/config/project-root.js";
import { productOf } from "../support/facts.js";
import { isUnanswered } from "./network.js";

/** An upload that the service has answered 200, 201 or 202. */
export interface Acknowledged {
  readonly id: string;
  readonly sha256: string;
}

const FIXTURE = join(projectRoot, "test", "cross-checks", "fixtures", "log-ends-loaded");
/** One upload in so many sends a log that was sent before. */
const AGAIN_EVERY = 5;

/** How long a client waits that was told nothing, ms. */
const TRY_AGAIN_MS = 100;

/** Clients that upload one run after the other, each as often as it takes until it is acknowledged, and no sooner than they are asked to. */
export class Uploaders {
  readonly acknowledged: Acknowledged[] = [];
  /** Runs that were sent once or more. */
  offered = 0;
  /** How often each answer came: its status, with its problem's code, or none. */
  readonly answers: Record<string, number> = {};
  private readonly log = readFileSync(`${FIXTURE}.csv`, "utf8");
  private readonly meta = JSON.parse(readFileSync(`${FIXTURE}.meta.json`, "utf8"));
  private token = "";
  private ids: { readonly specimenId: string; readonly benchId: string } = { specimenId: "", benchId: "" };
  private running: Promise<void>[] = [];
  private isEnding = false;
  private next = 0;

  constructor(private readonly url: string) {}

  async begin(uploaders: number): Promise<void> {
    const account = { handle: "killtest", password: "a long enough secret" };
    await this.post("/v1/accounts", account);
    this.token = (await this.post("/v1/sessions", account)).token as string;
    const pack = await this.post("/v1/packs", productOf("Kill", this.meta.pack));
    const specimen = await this.post("/v1/specimens", { packId: pack.id, label: "no. 1", cycles: 12 });
    const bench = await this.post("/v1/benches", { ...this.meta.bench, label: "Bench" });
    this.ids = { specimenId: String(specimen.id), benchId: String(bench.id) };
    this.running = Array.from({ length: uploaders }, () => this.uploadOn());
  }

  /** Answers that no client should ever have. */
  get serverErrors(): number {
    const is500 = ([answer]: readonly [string, number]) => answer.startsWith("500");
    return Object.entries(this.answers)
      .filter(is500)
      .reduce((sum, [, times]) => sum + times, 0);
  }

  async end(): Promise<void> {
    this.isEnding = true;
    await Promise.all(this.running);
  }

  private async uploadOn(): Promise<void> {
    while (!this.isEnding) {
      const number = this.next++;
      const log = this.logNumber(number % AGAIN_EVERY === AGAIN_EVERY - 1 ? Math.floor(number / 2) : number);
      await this.uploadUntilAcknowledged(log);
    }
  }

  private async uploadUntilAcknowledged(log: string): Promise<void> {
    const sha256 = createHash("sha256").update(log).digest("hex");
    this.offered++;
    for (;;) {
      const { id, againMs } = await this.upload(log);
      if (id) {
        this.acknowledged.push({ id, sha256 });
        return;
      }
      await delay(againMs);
    }
  }

  /** The run's id, or in how many milliseconds to try again. */
  private async upload(log: string): Promise<{ readonly id?: string; readonly againMs: number }> {
    const form = new FormData();
    form.append("run", JSON.stringify({ protocol: "full-load", ...this.ids, ...this.meta.conditions }));
    form.append("log", new Blob([log], { type: "text/csv" }), "log.csv");
    try {
      const headers = { authorization: `Bearer ${this.token}` };
      const response = await fetch(`${this.url}/v1/runs`, { method: "POST", body: form, headers });
      const body = (await response.json()) as { readonly id?: string; readonly code?: string };
      this.count(body.code ? `${response.status} ${body.code}` : String(response.status));
      if (response.status < 500 && !response.ok) throw new Error(`an upload was answered ${JSON.stringify(body)}`);
      const againMs = Number(response.headers.get("retry-after")) * 1_000 || TRY_AGAIN_MS;
      return response.ok && body.id ? { id: body.id, againMs } : { againMs };
    } catch (error) {
      // The service was killed before or while it answered.
      if (!isUnanswered(error)) throw error;
      this.count("none");
      return { againMs: TRY_AGAIN_MS };
    }
  }

  private count(answer: string): void {
    this.answers[answer] = (this.answers[answer] ?? 0) + 1;
  }

  /** A log that differs from all others. */
  private logNumber(number: number): string {
    return `# upload ${number}\n${this.log}`;
  }

  private async post(path: string, json: object): Promise<Record<string, unknown>> {
    const headers = { "content-type": "application/json", authorization: `Bearer ${this.token}` };
    if (this.token === "") Reflect.deleteProperty(headers, "authorization");
    const response = await fetch(`${this.url}${path}`, { method: "POST", body: JSON.stringify(json), headers });
    if (!response.ok) throw new Error(`${path} was answered ${response.status}: ${await response.text()}`);
    return (await response.json()) as Record<string, unknown>;
  }
}
