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

/** Clients that upload one run after the other, each as often as it takes until it is acknowledged. */
export class Uploaders {
  readonly acknowledged: Acknowledged[] = [];
  sent = 0;
  serverErrors = 0;
  private readonly log = readFileSync(`${FIXTURE}.csv`, "utf8");
  private readonly meta = JSON.parse(readFileSync(`${FIXTURE}.meta.json`, "utf8"));
  private token = "";
  private ids: { readonly specimenId: string; readonly benchId: string } = { specimenId: "", benchId: "" };
  private running: Promise<void>[] = [];
  private isEnding = false;
  private count = 0;

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

  async end(): Promise<void> {
    this.isEnding = true;
    await Promise.all(this.running);
  }

  private async uploadOn(): Promise<void> {
    while (!this.isEnding) {
      const number = this.count++;
      const log = this.logNumber(number % AGAIN_EVERY === AGAIN_EVERY - 1 ? Math.floor(number / 2) : number);
      await this.uploadUntilAcknowledged(log);
    }
  }

  private async uploadUntilAcknowledged(log: string): Promise<void> {
    const sha256 = createHash("sha256").update(log).digest("hex");
    for (;;) {
      const answer = await this.upload(log);
      if (answer?.id) {
        this.acknowledged.push({ id: answer.id, sha256 });
        return;
      }
      await delay(100);
    }
  }

  /** The run's id; undefined when nobody answered, or the service asked to try again. */
  private async upload(log: string): Promise<{ id?: string } | undefined> {
    const form = new FormData();
    form.append("run", JSON.stringify({ protocol: "full-load", ...this.ids, ...this.meta.conditions }));
    form.append("log", new Blob([log], { type: "text/csv" }), "log.csv");
    this.sent++;
    let status: number;
    let text: string;
    try {
      const headers = { authorization: `Bearer ${this.token}` };
      const response = await fetch(`${this.url}/v1/runs`, { method: "POST", body: form, headers });
      status = response.status;
      text = await response.text();
    } catch (error) {
      // The service was killed before or while it answered.
      if (isUnanswered(error)) return undefined;
      throw error;
    }
    if (status === 200 || status === 201 || status === 202) return JSON.parse(text);
    if (status === 503) return undefined;
    if (status < 500) throw new Error(`an upload was answered ${status}: ${text}`);
    this.serverErrors++;
    return undefined;
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
