import { Agent, type IncomingHttpHeaders, request } from "node:http";

export interface Asked {
  readonly url: string;
  /** Sent with POST. */
  readonly body?: string;
  readonly headers?: Readonly<Record<string, string>>;
}

export interface Answer {
  readonly status: number;
  readonly headers: IncomingHttpHeaders;
  readonly text: string;
}

/** Connections on which nothing was asked for so long are left, ms: the service closes them later, and what is asked just then has no answer. */
const LEFT_AFTER_MS = 30_000;

const agent = new Agent({ keepAlive: true, maxSockets: 64, timeout: LEFT_AFTER_MS });

export function send({ url, body, headers }: Asked): Promise<Answer> {
  return new Promise((resolve, reject) => {
    const sent = request(
      url,
      {
        agent,
        method: body === undefined ? "GET" : "POST",
        headers: { ...(body === undefined ? {} : { "content-type": "application/json" }), ...headers },
      },
      (response) => {
        const parts: Buffer[] = [];
        response.on("data", (part: Buffer) => parts.push(part));
        response.on("error", reject);
        response.on("end", () =>
          resolve({
            status: response.statusCode ?? 0,
            headers: response.headers,
            text: Buffer.concat(parts).toString("utf8"),
          }),
        );
      },
    );
    sent.on("error", reject);
    sent.end(body);
  });
}

export async function getJson<T>(url: string): Promise<T> {
  const { status, text } = await send({ url });
  if (status !== 200) throw new Error(`${url} was answered ${status}: ${text.slice(0, 300)}`);
  return JSON.parse(text) as T;
}

export interface Rate {
  readonly perSecond: number;
  readonly p99Ms: number;
}

/** Asks the same over several connections without pause, and counts. */
export async function rateOf(asked: Asked, status: number, connections: number, seconds: number): Promise<Rate> {
  const end = performance.now() + seconds * 1000;
  const times: number[] = [];
  await Promise.all(
    Array.from({ length: connections }, async () => {
      for (let begun = performance.now(); begun < end; begun = performance.now()) {
        const answer = await send(asked);
        if (answer.status !== status) throw new Error(`${asked.url}: ${answer.status} ${answer.text.slice(0, 300)}`);
        times.push(performance.now() - begun);
      }
    }),
  );
  times.sort((a, b) => a - b);
  return { perSecond: times.length / seconds, p99Ms: times[Math.floor(times.length * 0.99)] ?? Number.NaN };
}

/** Milliseconds that each of several requests takes, one after the other. */
export async function timesOf(asked: Asked, times: number, before: () => Promise<unknown> = async () => {}) {
  const taken: number[] = [];
  for (let i = 0; i < times; i++) {
    await before();
    const begun = performance.now();
    const { status, text } = await send(asked);
    taken.push(performance.now() - begun);
    // GraphQL's mistakes are answered 200 to who accepts plain JSON.
    if (status !== 200 || text.startsWith('{"errors"') || text.startsWith('{"data":null')) {
      throw new Error(`${asked.url}: ${status} ${text.slice(0, 300)}`);
    }
  }
  taken.sort((a, b) => a - b);
  return { median: median(taken), worst: taken.at(-1) ?? Number.NaN };
}

export function median(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b);
  return sorted[Math.floor(sorted.length / 2)] ?? Number.NaN;
}
