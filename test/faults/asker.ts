import { isUnanswered } from "../durability/network.js";

/** How long a client waits for an answer before it counts as one that never comes, s. */
export const ANSWER_SECONDS = 60;

export interface Asked {
  readonly method?: "GET" | "POST" | "PUT" | "DELETE";
  readonly token?: string;
  readonly json?: object;
  readonly form?: FormData;
}

export interface Answer {
  readonly status: number;
  readonly body: Readonly<Record<string, unknown>>;
  /** When to ask again, as the answer says, ms; 0 where it does not. */
  readonly retryAfterMs: number;
}

/** Asks as a client does that gives up after a while, and counts what came. */
export class Asker {
  /** How often each answer came: its status, with its problem's code; `none` where the connection ended before one. */
  readonly answers: Record<string, number> = {};
  /** Requests that nobody answered in time, though the connection stood. */
  readonly late: string[] = [];
  longestSeconds = 0;
  /** Services on one record, asked in turn. */
  readonly urls: string[];
  private asked = 0;

  constructor(url: string) {
    this.urls = [url];
  }

  /** Null when no answer came. */
  async ask(path: string, { method = "GET", token, json, form }: Asked = {}): Promise<Answer | null> {
    const headers = new Headers({ accept: "application/json" });
    if (token) headers.set("authorization", `Bearer ${token}`);
    if (json) headers.set("content-type", "application/json");
    const body = form ?? (json ? JSON.stringify(json) : null);
    const begun = performance.now();
    const url = this.urls[this.asked++ % this.urls.length];
    try {
      const signal = AbortSignal.timeout(ANSWER_SECONDS * 1_000);
      const response = await fetch(`${url}${path}`, { method, headers, body, signal });
      const text = await response.text();
      this.longestSeconds = Math.max(this.longestSeconds, (performance.now() - begun) / 1_000);
      const parsed = (text === "" ? {} : JSON.parse(text)) as Record<string, unknown>;
      this.count(response.ok ? String(response.status) : `${response.status} ${parsed.code ?? ""}`);
      const retryAfterMs = 1_000 * Number(response.headers.get("retry-after") ?? 0);
      return { status: response.status, body: parsed, retryAfterMs };
    } catch (error) {
      if ((error as Error).name === "TimeoutError") this.late.push(`${method} ${path}`);
      else if (!isUnanswered(error)) throw error;
      this.count("none");
      return null;
    }
  }

  /** Answers that no client should ever have. */
  get serverErrors(): number {
    return Object.entries(this.answers).reduce(
      (sum, [answer, times]) => sum + (answer.startsWith("500") ? times : 0),
      0,
    );
  }

  private count(answer: string): void {
    this.answers[answer] = (this.answers[answer] ?? 0) + 1;
  }
}
