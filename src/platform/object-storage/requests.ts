import { randomInt } from "node:crypto";
import { Agent, type IncomingMessage, request as requestHttp } from "node:http";
import { Agent as AgentTls, request as requestHttps } from "node:https";
import { setTimeout as delay } from "node:timers/promises";
import type { ObjectStorageConfig } from "../config/config.js";
import { addressOf } from "./address.js";
import { bodyOfText, type ObjectBody } from "./object-body.js";
import { sign } from "./sign.js";
import { NoSuchObject, ObjectStorageUnavailable } from "./unavailable.js";

/** What is asked of the storage. */
export interface ObjectRequest {
  readonly method: "GET" | "HEAD" | "PUT" | "POST" | "DELETE";
  /** Of an object, below the prefix; the bucket itself when it is left out. */
  readonly key?: string;
  readonly query?: Readonly<Record<string, string>>;
  readonly headers?: Readonly<Record<string, string>>;
  readonly body?: ObjectBody;
}

/** How long the storage is waited for. */
export interface Patience {
  /** Tries, the first included. */
  readonly tries: number;
  /** Longest silence on the connection, ms. */
  readonly silenceMs: number;
  /** Before the second try, ms; twice as long before each further one, and up to twice that by chance. */
  readonly pauseMs: number;
}

/** Connections that are kept for the next request. */
const MAX_IDLE_CONNECTIONS = 16;
/** How long the rest of an answer that nobody wants may take, ms. */
const THROWN_AWAY_MS = 5_000;
const MAX_PAUSE_MS = 5_000;
/** Statuses of a storage that is busy or broken for a moment (RFC 9110, 15; RFC 6585, 4). */
const PASSING = new Set([408, 429, 500, 502, 503, 504]);
/** Of an answer that is read as a text, bytes: a list of 1,000 keys has less, and so has a snapshot of many years. */
const MAX_TEXT_BYTES = 64 * 2 ** 20;
/** Of a refusal, bytes that are looked at for its code. */
const MAX_REFUSAL_BYTES = 4_096;
const NOTHING = bodyOfText("");

/** Sends signed requests to one bucket, some of them again. */
export class ObjectRequests {
  private readonly send: typeof requestHttp;
  private readonly agent: Agent;

  constructor(private readonly config: ObjectStorageConfig) {
    const isTls = config.endpoint.protocol === "https:";
    this.send = isTls ? requestHttps : requestHttp;
    const options = { keepAlive: true, maxFreeSockets: MAX_IDLE_CONNECTIONS };
    this.agent = isTls ? new AgentTls(options) : new Agent(options);
  }

  /**
   * Asks, and again while the storage is away or busy.
   *
   * @returns an answer of 2xx, whose body is read or thrown away by whoever asked
   * @throws ObjectStorageUnavailable, or NoSuchObject
   */
  async ask(request: ObjectRequest, patience: Patience): Promise<IncomingMessage> {
    for (let tried = 1; ; tried++) {
      try {
        return await this.askOnce(request, patience.silenceMs);
      } catch (error) {
        const isPassing = error instanceof ObjectStorageUnavailable && error.isPassing;
        if (!isPassing || tried >= patience.tries) throw error;
        await delay(pauseAfter(tried, patience));
      }
    }
  }

  /** The same, and reads the answer as a text, also that again. */
  async text(request: ObjectRequest, patience: Patience): Promise<string> {
    for (let tried = 1; ; tried++) {
      const answer = await this.ask(request, patience);
      try {
        return await textOf(answer, patience.silenceMs, MAX_TEXT_BYTES);
      } catch (error) {
        if (tried >= patience.tries) throw unavailable(error);
        await delay(pauseAfter(tried, patience));
      }
    }
  }

  close(): void {
    this.agent.destroy();
  }

  private async askOnce(request: ObjectRequest, silenceMs: number): Promise<IncomingMessage> {
    let answer: IncomingMessage;
    try {
      answer = await this.headOf(request, silenceMs);
    } catch (error) {
      throw unavailable(error);
    }
    const { statusCode = 0 } = answer;
    if (statusCode >= 200 && statusCode <= 299) return answer;
    const code = await codeOf(answer, silenceMs);
    // To HEAD no code is answered.
    if (statusCode === 404 && (code === "NoSuchKey" || request.method === "HEAD"))
      throw new NoSuchObject("there is no such object");
    throw new ObjectStorageUnavailable(`it answered ${statusCode} ${code}`.trimEnd(), PASSING.has(statusCode));
  }

  private async headOf(
    { method, key = "", query, headers = {}, body = NOTHING }: ObjectRequest,
    silenceMs: number,
  ): Promise<IncomingMessage> {
    const url = addressOf(this.config, key, query);
    const signed = await sign({ method, url, headers, sha256: body.sha256 }, this.config);
    const { promise, resolve, reject } = Promise.withResolvers<IncomingMessage>();
    const sent = this.send(url, {
      method,
      agent: this.agent,
      // Also while it is being connected to.
      timeout: silenceMs,
      headers: { ...signed, ...(method === "PUT" || method === "POST" ? { "content-length": body.bytes } : {}) },
    });
    sent.on("timeout", () => sent.destroy(new Error(`it was silent for ${silenceMs} ms`)));
    sent.on("error", reject);
    sent.on("response", (answer: IncomingMessage) => {
      // From here on whoever reads counts the time that nothing comes, and not the time that nobody reads.
      sent.setTimeout(0);
      answer.on("error", () => undefined);
      resolve(answer);
    });
    if (body.bytes === 0) sent.end();
    else {
      const source = body.open();
      source.on("error", (error) => sent.destroy(error));
      // What is refused before it was all sent is not read any further.
      sent.on("close", () => source.destroy());
      source.pipe(sent);
    }
    return promise;
  }
}

/** What comes of an answer, in order. It throws when nothing comes for a time in which it is waited for. */
export async function* bytesOf(answer: IncomingMessage, silenceMs: number): AsyncGenerator<Buffer> {
  const wait = () => setTimeout(() => answer.destroy(new Error(`it was silent for ${silenceMs} ms`)), silenceMs);
  let timer = wait();
  try {
    for await (const chunk of answer) {
      clearTimeout(timer);
      yield chunk as Buffer;
      timer = wait();
    }
  } finally {
    clearTimeout(timer);
    answer.destroy();
  }
}

/** Lets the connection be used again. */
export function throwAway(answer: IncomingMessage): void {
  const timer = setTimeout(() => answer.destroy(), THROWN_AWAY_MS);
  answer.once("close", () => clearTimeout(timer));
  answer.resume();
}

/** Before the next try, ms. */
export function pauseAfter(tried: number, { pauseMs }: Patience): number {
  const pause = Math.min(pauseMs << (tried - 1), MAX_PAUSE_MS);
  return pause + randomInt(pause);
}

/** A fault of the connection as one of the storage. */
export function unavailable(error: unknown): ObjectStorageUnavailable {
  if (error instanceof ObjectStorageUnavailable) return error;
  const { code, message } = error as NodeJS.ErrnoException;
  return new ObjectStorageUnavailable(message || code || "it does not answer", true, { cause: error });
}

async function textOf(answer: IncomingMessage, silenceMs: number, maxBytes: number): Promise<string> {
  const chunks: Buffer[] = [];
  let bytes = 0;
  for await (const chunk of bytesOf(answer, silenceMs)) {
    bytes += chunk.length;
    if (bytes > maxBytes) throw new Error(`it answered more than ${maxBytes} bytes`);
    chunks.push(chunk);
  }
  return Buffer.concat(chunks).toString("utf8");
}

/** What a refusal calls itself, such as AccessDenied. Of what else it says, which may be the signature, nothing is taken. */
async function codeOf(answer: IncomingMessage, silenceMs: number): Promise<string> {
  const text = await textOf(answer, silenceMs, MAX_REFUSAL_BYTES).catch(() => "");
  return /<Code>([A-Za-z0-9]{1,64})<\/Code>/.exec(text)?.[1] ?? "";
}
