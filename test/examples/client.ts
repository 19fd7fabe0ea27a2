import { CONFIG } from "../../src/platform/config/config.js";
import { FORMS } from "../../src/platform/http/requests/forms.js";
import type { TestApp } from "../support/app.js";
import { productOf } from "../support/facts.js";
import { untilIdle } from "../support/idle.js";
import { logCase } from "../support/uploads.js";
import { type Got, isShown, Recorder, type Sent } from "./recorder.js";

export const PASSWORD = "correct horse battery";

export type Headers = Readonly<Record<string, string>>;
export type Item = { readonly id: string };
export type Filed = { readonly packId: string; readonly specimenId: string; readonly benchId: string };

/** Uses the service, and has recorded what it sent and was answered. */
export class RecordingClient {
  readonly recorder = new Recorder();

  constructor(readonly app: TestApp) {}

  post<T = object>(url: string, body: unknown, headers: Headers = {}): Promise<T> {
    return this.ask<T>({ method: "POST", url, body }, headers);
  }

  get<T = object>(url: string, headers: Headers = {}): Promise<T> {
    return this.ask<T>({ method: "GET", url }, headers);
  }

  /** Reads a resource in its forms beside JSON, by the ending of the address, and by `Accept` those of which an example is shown. */
  async getForms(path: string, query = ""): Promise<void> {
    for (const [ending, { type }] of Object.entries(FORMS)) {
      await this.get(`${path}.${ending}${query}`);
      if (isShown(type)) await this.get(`${path}${query}`, { accept: type });
    }
  }

  async ask<T = object>(sent: Sent, headers: Headers): Promise<T> {
    const { method, url, body: payload } = sent;
    const answer = await this.app.inject({
      method: method as "GET",
      url,
      headers: { ...headers },
      ...(payload === undefined ? {} : { payload: payload as object }),
    });
    this.keep(sent, answer);
    return (answer.headers["content-type"]?.toString().includes("json") ? answer.json() : {}) as T;
  }

  keep(sent: Sent, answer: Awaited<ReturnType<TestApp["inject"]>>): void {
    const type = String(answer.headers["content-type"] ?? "").split(";", 1)[0] ?? "";
    const got: Got = { status: answer.statusCode, type, body: answer.body };
    this.recorder.keep(sent, got);
  }

  async open(handle: string): Promise<Headers> {
    const { token } = await this.post<{ token: string }>("/v1/sessions", { handle, password: PASSWORD });
    return { authorization: `Bearer ${token}` };
  }

  /** Registers a bench and a specimen, and their pack unless it is registered already. */
  async register(
    headers: Headers,
    name: string,
    { pack, bench }: Pick<ReturnType<typeof logCase>, "pack" | "bench">,
    registered?: string,
  ): Promise<Filed> {
    const packId = registered ?? (await this.post<Item>("/v1/packs", productOf(name, pack), headers)).id;
    const specimen = { packId, label: `${name} no. 1`, cycles: 12 };
    const { id: specimenId } = await this.post<Item>("/v1/specimens", specimen, headers);
    const { id: benchId } = await this.post<Item>("/v1/benches", { ...bench, label: `Bench for ${name}` }, headers);
    return { packId, specimenId, benchId };
  }

  async upload(tester: Headers, { packId: _, ...ids }: Filed, name: string): Promise<string> {
    const { log, conditions } = logCase(name);
    const run = { protocol: "full-load", startedAt: "2026-05-02T09:12:00Z", ...ids, ...conditions };
    return (await this.send<Item>("/v1/runs", { run }, [["log", `${name}.csv`, log]], tester)).id;
  }

  /** Uploads as to a busy service, which answers before the evaluation has ended. */
  async withoutWaiting(upload: () => Promise<unknown>): Promise<void> {
    const config: { waitSeconds: number } = this.app.nest.get(CONFIG);
    const { waitSeconds } = config;
    config.waitSeconds = 0;
    await upload();
    config.waitSeconds = waitSeconds;
  }

  async check(name: string): Promise<void> {
    const { log, pack, bench, conditions } = logCase(name);
    const described = { pack: productOf("Tern", pack), bench: { ...bench, label: "Bench" } };
    const run = { protocol: "full-load", ...described, ...conditions };
    await this.send("/v1/checks", { run }, [["log", `${name}.csv`, log]], {});
  }

  async batch(tester: Headers, { specimenId, benchId }: Record<string, string>, name: string): Promise<void> {
    const { log, conditions } = logCase(name);
    const run = { file: `${name}.csv`, protocol: "full-load", specimenId, benchId, ...conditions };
    await this.send("/v1/runs/batch", { manifest: { runs: [run] } }, [["log", `${name}.csv`, log]], tester);
  }

  /** Sends a form; of its files the example shows their names. */
  async send<T = object>(
    url: string,
    parts: Readonly<Record<string, object>>,
    files: readonly (readonly [string, string, Uint8Array<ArrayBuffer>])[],
    headers: Headers,
  ): Promise<T> {
    const form = new FormData();
    for (const [name, part] of Object.entries(parts)) form.append(name, JSON.stringify(part));
    for (const [name, fileName, bytes] of files) form.append(name, new Blob([bytes], { type: "text/csv" }), fileName);
    const request = new Request("http://localhost/", { method: "POST", body: form });
    const type = request.headers.get("content-type") ?? "";
    const payload = Buffer.from(await request.arrayBuffer());
    const all = { ...headers, "content-type": type };
    const answer = await this.app.inject({ method: "POST", url, payload, headers: all });
    const logs = files.map(([, fileName]) => fileName);
    const body = { ...parts, log: "manifest" in parts ? logs : logs[0] };
    this.keep({ method: "POST", url, body }, answer);
    return answer.json<T>();
  }

  idle(): Promise<void> {
    return untilIdle(this.app.database.connectionString);
  }
}
