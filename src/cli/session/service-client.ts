import { setTimeout as delay } from "node:timers/promises";
import { EventSourceParserStream } from "eventsource-parser/stream";
import type { RunProgress } from "../../features/runs/progress/progress.js";
import { UsageError } from "../usage-error.js";

/** How often a request is sent that the service asks to send again later. */
const MAX_TRIES = 20;

export interface ProblemBody {
  readonly title?: string;
  readonly detail?: string;
  readonly errors?: readonly { readonly pointer?: string; readonly line?: number; readonly message: string }[];
}

export interface Answer {
  readonly status: number;
  readonly body: Record<string, unknown>;
}

interface Texted {
  readonly status: number;
  readonly text: string;
}

const parsed = ({ status, text }: Texted): Answer => ({ status, body: text === "" ? {} : JSON.parse(text) });

interface Sent {
  readonly json?: object;
  /** Made anew for every try. */
  readonly form?: () => Promise<FormData>;
}

/** Speaks to a service as any other client does. */
export class ServiceClient {
  constructor(
    readonly server: string,
    private readonly token: string | null,
  ) {}

  /** The answer, whatever its status; waits where the service asks for it. */
  async send(method: "GET" | "POST" | "DELETE", path: string, { json, form }: Sent = {}): Promise<Answer> {
    const headers = json ? { "content-type": "application/json" } : {};
    const bodyOf = async () => (form ? await form() : json ? JSON.stringify(json) : null);
    return parsed(await this.patiently(method, path, bodyOf, headers));
  }

  /** The answer to JSON, or to a form, which is expected to succeed. */
  async post<Body = Record<string, unknown>>(path: string, sent: Sent): Promise<Body> {
    return succeeded(await this.send("POST", path, sent)) as Body;
  }

  /** A table, as the service writes it: of an address, or of what is sent there as JSON. */
  async table(path: string, mediaType: string, json?: object): Promise<string> {
    const body = async () => (json ? JSON.stringify(json) : null);
    const headers = { accept: mediaType, ...(json ? { "content-type": "application/json" } : {}) };
    const answer = await this.patiently(json ? "POST" : "GET", path, body, headers);
    if (answer.status >= 300) succeeded(parsed(answer));
    return answer.text;
  }

  private async patiently(
    method: string,
    path: string,
    bodyOf: () => Promise<string | FormData | null>,
    headers: Record<string, string>,
  ): Promise<Texted> {
    for (let tries = 1; ; tries++) {
      const response = await this.fetch(method, path, await bodyOf(), headers);
      const text = await response.text();
      const mayTryAgain = (response.status === 429 || response.status === 503) && tries < MAX_TRIES;
      if (!mayTryAgain) return { status: response.status, text };
      await delay(1000 * Math.max(1, Number(response.headers.get("retry-after") ?? 1)));
    }
  }

  /** The answer of a request that is expected to succeed, as the contract describes it. */
  async get<Body = Record<string, unknown>>(path: string): Promise<Body> {
    return succeeded(await this.send("GET", path)) as Body;
  }

  /** All items of a list, page by page. */
  async *list<Item = Record<string, unknown>>(path: string): AsyncGenerator<Item> {
    for (let after = ""; ; ) {
      const page = await this.get(`${path}${path.includes("?") ? "&" : "?"}first=100${after}`);
      yield* page.items as Item[];
      const { hasNextPage, endCursor } = page.pageInfo as { hasNextPage: boolean; endCursor: string };
      if (!hasNextPage) return;
      after = `&after=${encodeURIComponent(endCursor)}`;
    }
  }

  /** Progress of a run as the service tells it, until it is over. */
  async *progress(runId: string): AsyncGenerator<RunProgress> {
    const response = await this.fetch("GET", `/v1/runs/${runId}/events`, null, { accept: "text/event-stream" });
    if (!response.ok || !response.body) return;
    const events = response.body.pipeThrough(new TextDecoderStream()).pipeThrough(new EventSourceParserStream());
    for await (const { data } of events) yield JSON.parse(data) as RunProgress;
  }

  private async fetch(method: string, path: string, body: string | FormData | null, more: Record<string, string>) {
    const headers = {
      accept: "application/json",
      ...more,
      ...(this.token ? { authorization: `Bearer ${this.token}` } : {}),
    };
    try {
      return await fetch(new URL(path, this.server), { method, headers, body });
    } catch (error) {
      if (!(error instanceof TypeError)) throw error;
      throw new UsageError(`No service answers at ${this.server}.`);
    }
  }
}

/** The body of a successful answer. */
export function succeeded({ status, body }: Answer): Record<string, unknown> {
  if (status < 300) return body;
  throw new UsageError(sentenceOfProblem(body as ProblemBody));
}

export function sentenceOfProblem({ title = "The service refused it", detail = "", errors = [] }: ProblemBody): string {
  const places = errors.map(
    ({ pointer, line, message }) => `${pointer?.slice(1) ?? (line ? `line ${line}` : "")} ${message}`,
  );
  const said = detail.startsWith(`${title}.`) ? detail : `${title}. ${detail}`.trim();
  return [said, ...places.map((place) => place.trim())].join("\n    ");
}
