import { setTimeout as wait } from "node:timers/promises";

export interface Answer {
  readonly status: number;
  readonly body: Record<string, unknown>;
}

export interface RequestOptions {
  readonly token?: string;
  readonly json?: unknown;
  readonly form?: FormData;
  /** Statuses that are no failure. */
  readonly expect: readonly number[];
  /** A problem that passes by itself: asked again while it is the answer, for so long. */
  readonly passing?: { readonly problem: string; readonly seconds: number };
}

const ASK_AGAIN_MS = 200;

/** Speaks to the service as any other client does: HTTP with JSON, waiting when it is told to. */
export class Client {
  constructor(private readonly baseUrl: string) {}

  async request(method: "GET" | "POST" | "PUT", path: string, options: RequestOptions): Promise<Answer> {
    const headers = new Headers({ accept: "application/json" });
    if (options.token !== undefined) headers.set("authorization", `Bearer ${options.token}`);
    if (options.json !== undefined) headers.set("content-type", "application/json");
    const body = options.form ?? (options.json === undefined ? null : JSON.stringify(options.json));
    const { passing } = options;
    const deadline = Date.now() + 1000 * (passing?.seconds ?? 0);
    for (;;) {
      const response = await fetch(new URL(path, this.baseUrl), { method, headers, body });
      const text = await response.text();
      if (response.status === 429) {
        await wait(1000 * Math.max(1, Number(response.headers.get("retry-after") ?? 1)));
        continue;
      }
      const isPassing = passing && text.includes(`"/problems/${passing.problem}"`);
      if (isPassing && !options.expect.includes(response.status) && Date.now() < deadline) {
        await wait(ASK_AGAIN_MS);
        continue;
      }
      if (!options.expect.includes(response.status)) {
        throw new Error(`${method} ${path} was answered ${response.status}: ${text.slice(0, 500)}`);
      }
      return { status: response.status, body: text === "" ? {} : JSON.parse(text) };
    }
  }
}

/** A text member of an answer. */
export function textOf(answer: Answer, member: string): string {
  const value = answer.body[member];
  if (typeof value !== "string") throw new Error(`The answer lacks the text "${member}"`);
  return value;
}
