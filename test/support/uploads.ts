import { readFileSync } from "node:fs";
import request, { type Test } from "supertest";
import type { ConformanceView } from "../../src/features/runs/evaluation/evaluation.views.js";
import type { RunView } from "../../src/features/runs/runs.views.js";
import type { TestApp } from "./app.js";
import { productOf } from "./facts.js";

type Headers = { authorization: string };

const FIXTURES = new URL("../cross-checks/fixtures/", import.meta.url);

/** A log of test/cross-checks/fixtures with what is declared of it. */
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

/** An evaluated run or a problem (RFC 9457): the status says which. */
export type AnswerBody = RunView & { readonly conformance: ConformanceView } & ProblemBody;

/** What a problem says beside its title. */
interface ProblemBody {
  readonly type: string;
  readonly detail: string;
  readonly runId: string;
  readonly errors: readonly { pointer?: string; line?: number; message: string }[];
}

export interface Answer {
  readonly status: number;
  readonly headers: Readonly<Record<string, string>>;
  readonly body: AnswerBody;
}

/** Sends an upload over a real connection, as curl would. */
export function postForm(
  url: string,
  run: unknown,
  log: Uint8Array,
  { fileName = "log.csv", headers = {} as Partial<Headers> } = {},
): Promise<Answer> {
  const { origin, pathname } = new URL(url);
  const sent = request(origin)
    .post(pathname)
    .set({ ...headers })
    .field("run", typeof run === "string" ? run : JSON.stringify(run))
    .attach("log", Buffer.from(log), { filename: fileName, contentType: "text/csv" });
  return answerOf(sent);
}

/** The answer to what was sent over a real connection; a body that is not JSON is text. */
export async function answerOf(sent: Test): Promise<Answer> {
  const { status, headers, type, body, text } = await sent;
  return { status, headers, body: /json/.test(type) ? body : text };
}

/** Registers a pack under a name, with a specimen and a bench of the tester's own. */
export async function register(app: Pick<TestApp, "inject">, headers: Headers, name: string, { pack, bench }: LogCase) {
  const post = async (url: string, payload: object): Promise<string> => {
    const answer = await app.inject({ method: "POST", url, payload, headers });
    const body = answer.json<{ id?: string; existingId?: string; similarPacks?: { id: string }[] }>();
    if (body.similarPacks) return post(url, { ...payload, differsFrom: body.similarPacks.map(({ id }) => id) });
    return body.id ?? body.existingId ?? "";
  };
  const packId = await post("/v1/packs", productOf(name, pack));
  const specimenId = await post("/v1/specimens", { packId, label: `${name} no. 1`, cycles: 12 });
  const benchId = await post("/v1/benches", { ...bench, label: "Bench" });
  return { packId, specimenId, benchId };
}

/** Registers what a log needs and uploads it, or other bytes in its place. */
export async function uploadCase(
  app: Pick<TestApp, "inject" | "url">,
  headers: Headers,
  packName: string,
  caseName: string,
  log = logCase(caseName).log,
): Promise<Answer> {
  const found = logCase(caseName);
  const { packId: _, ...ids } = await register(app, headers, packName, found);
  const run = { protocol: "full-load", startedAt: "2026-05-02T09:12:00Z", ...ids, ...found.conditions };
  return postForm(`${app.url}/v1/runs`, run, log, { headers });
}
