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
}

/** Speaks to the service as any other client does: HTTP with JSON, waiting when it is told to. */
export class Client {
  constructor(private readonly baseUrl: string) {}

  async request(method: "GET" | "POST" | "PUT", path: string, options: RequestOptions): Promise<Answer> {
    const headers = new Headers({ accept: "application/json" });
    if (options.token !== undefined) headers.set("authorization", `Bearer ${options.token}`);
    if (options.json !== undefined) headers.set("content-type", "application/json");
    const body = options.form ?? (options.json === undefined ? null : JSON.stringify(options.json));
    for (;;) {
      const response = await fetch(new URL(path, this.baseUrl), { method, headers, body });
      const text = await response.text();
      if (response.status === 429) {
        await wait(1000 * Math.max(1, Number(response.headers.get("retry-after") ?? 1)));
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
