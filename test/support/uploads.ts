import { readFileSync } from "node:fs";
import type { TestApp } from "./app.js";

type Headers = { authorization: string };

const FIXTURES = new URL("../outside/fixtures/", import.meta.url);

/** A log of test/outside/fixtures with what is declared of it. */
export interface LogCase {
  readonly log: Uint8Array<ArrayBuffer>;
  readonly pack: object;
  readonly bench: object;
  readonly conditions: {
    readonly ambientC: number;
    readonly restMinutes: number;
    readonly cycles: number;
    readonly setpointA: number | null;
    readonly stateOfChargePercent?: number;
  };
}

export function logCase(name: string): LogCase {
  const { pack, bench, conditions } = JSON.parse(readFileSync(new URL(`${name}.meta.json`, FIXTURES), "utf8"));
  return { log: Uint8Array.from(readFileSync(new URL(`${name}.csv`, FIXTURES))), pack, bench, conditions };
}

export interface AnswerFigure {
  readonly key: string;
  readonly value: number;
  readonly unit: string;
  readonly uncertainty: number;
  readonly basis: string;
  readonly bound: string;
}

/** Members that the tests look at; a problem has the last ones. */
export interface AnswerBody {
  readonly id: string;
  readonly state: string;
  readonly review: string;
  readonly figures: readonly AnswerFigure[];
  readonly conformance: { readonly verdict: string; readonly findings: readonly { rule: string; outcome: string }[] };
  readonly log: { readonly sha256: string; readonly rows: number };
  readonly type: string;
  readonly detail: string;
  readonly runId: string;
  readonly errors: readonly { pointer?: string; line?: number; message: string }[];
}

export interface Answer {
  readonly status: number;
  readonly headers: globalThis.Headers;
  readonly body: AnswerBody;
}

/** Sends an upload over a real connection, as curl would. */
export async function postForm(
  url: string,
  run: unknown,
  log: Uint8Array<ArrayBuffer>,
  { fileName = "log.csv", headers = {} as Partial<Headers> } = {},
): Promise<Answer> {
  const form = new FormData();
  form.append("run", typeof run === "string" ? run : JSON.stringify(run));
  form.append("log", new Blob([log], { type: "text/csv" }), fileName);
  return answerOf(await fetch(url, { method: "POST", body: form, headers: { ...headers } as Record<string, string> }));
}

export async function answerOf(response: Response): Promise<Answer> {
  const text = await response.text();
  const isJson = /json/.test(response.headers.get("content-type") ?? "");
  return { status: response.status, headers: response.headers, body: isJson ? JSON.parse(text) : text };
}

/** Registers a pack under a name, with a specimen and a bench of the tester's own. */
export async function register(test: TestApp, headers: Headers, name: string, { pack, bench }: LogCase) {
  const post = async (url: string, payload: object): Promise<string> => {
    const answer = await test.inject({ method: "POST", url, payload, headers });
    const body = answer.json<{ id?: string; existingId?: string }>();
    return body.id ?? body.existingId ?? "";
  };
  const packId = await post("/v1/packs", { ...pack, maker: "Halden Cells", name });
  const specimenId = await post("/v1/specimens", { packId, label: `${name} no. 1`, cycles: 12 });
  const benchId = await post("/v1/benches", { ...bench, label: "Bench" });
  return { packId, specimenId, benchId };
}

/** Registers what a log needs and uploads it. */
export async function uploadCase(test: TestApp, headers: Headers, packName: string, caseName: string): Promise<Answer> {
  const found = logCase(caseName);
  const { packId: _, ...ids } = await register(test, headers, packName, found);
  const run = { protocol: "full-load", startedAt: "2026-05-02T09:12:00Z", ...ids, ...found.conditions };
  return postForm(`${test.url}/v1/runs`, run, found.log, { headers });
}
