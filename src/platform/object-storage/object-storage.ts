import type { IncomingMessage } from "node:http";
import { setTimeout as delay } from "node:timers/promises";
import { Logger } from "@nestjs/common";
import type { ObjectStorageConfig } from "../config/config.js";
import { type ByteSpan, bodyOfFile, bodyOfText, type ObjectBody } from "./object-body.js";
import { putInParts } from "./parts.js";
import {
  bytesOf,
  type ObjectRequest,
  ObjectRequests,
  type Patience,
  pauseAfter,
  throwAway,
  unavailable,
} from "./requests.js";
import { NoSuchObject, ObjectStorageUnavailable } from "./unavailable.js";
import { elementsOf, textOf } from "./xml.js";

/** Of who waits for an answer, of what a job does, and of who asks whether all is well. */
const PATIENCE = {
  reader: { tries: 3, silenceMs: 5_000, pauseMs: 100 },
  writer: { tries: 6, silenceMs: 30_000, pauseMs: 100 },
  probe: { tries: 1, silenceMs: 3_000, pauseMs: 100 },
} as const satisfies Record<string, Patience>;

/** What is larger is put in parts of this size: the protocol takes 5 GiB at once, and 10,000 parts. */
const PART_BYTES = 256 * 2 ** 20;
const PROBE_KEY = "probe";

const logger = new Logger("ObjectStorage");
const toLog = (what: string) => logger.error(what);

type Doing = "reading" | "writing";

export interface ObjectStorageOptions {
  readonly patience?: Partial<Record<keyof typeof PATIENCE, Patience>>;
  readonly partBytes?: number;
  /** Tells operators; the log unless it is given. */
  readonly report?: (what: string) => void;
}

/**
 * A bucket of storage that speaks the protocol of Amazon S3, below a prefix. An object is there whole or not at all. Every method throws
 * ObjectStorageUnavailable when the storage is away, too slow, or refuses.
 */
export class ObjectStorage {
  private readonly requests: ObjectRequests;
  private readonly patience: Record<keyof typeof PATIENCE, Patience>;
  private readonly partBytes: number;
  private readonly report: (what: string) => void;
  /** What failed when it was last tried; before anything was, whether it can be read is not known. */
  private inDoubt: Doing | null = "reading";
  private hasFailed = false;
  private probing: Promise<boolean> | undefined;

  constructor(
    private readonly config: ObjectStorageConfig,
    { patience = {}, partBytes = PART_BYTES, report = toLog }: ObjectStorageOptions = {},
  ) {
    this.requests = new ObjectRequests(config);
    this.patience = { ...PATIENCE, ...patience };
    this.partBytes = partBytes;
    this.report = report;
  }

  /** Names of the objects below a folder, without it. */
  list(folder: string): Promise<string[]> {
    return this.noted("reading", async () => {
      const found: string[] = [];
      for (let token: string | null = ""; token !== null; ) token = await this.listPage(folder, token, found);
      return found;
    });
  }

  /** Bytes of an object; null when there is none. */
  size(key: string): Promise<number | null> {
    return this.noted("reading", async () => {
      const answer = await this.ifThere(() => this.requests.ask({ method: "HEAD", key }, this.patience.writer));
      if (answer === null) return null;
      throwAway(answer);
      return Number(answer.headers["content-length"]);
    });
  }

  /** A small object whole; null when there is none. */
  text(key: string): Promise<string | null> {
    return this.noted("reading", () =>
      this.ifThere(() => this.requests.text({ method: "GET", key }, this.patience.reader)),
    );
  }

  async putText(key: string, text: string): Promise<void> {
    await this.noted("writing", () => this.put(key, bodyOfText(text)));
  }

  /** Puts a file whose size and SHA-256 are known, as it is read. */
  async putFile(key: string, path: string, file: Pick<ObjectBody, "bytes" | "sha256">): Promise<void> {
    const { requests, partBytes } = this;
    const upload = { requests, key, patience: this.patience.writer };
    await this.noted("writing", () =>
      file.bytes > partBytes ? putInParts(upload, path, file.bytes, partBytes) : this.put(key, bodyOfFile(path, file)),
    );
  }

  /** Nothing happens where there is none. */
  async remove(key: string): Promise<void> {
    await this.noted("writing", () =>
      this.ifThere(async () => throwAway(await this.requests.ask({ method: "DELETE", key }, this.patience.writer))),
    );
  }

  /**
   * The bytes of a range, as they come. A connection that is cut is taken up where it ended.
   *
   * @throws NoSuchObject
   */
  async *read(key: string, { start, end }: ByteSpan): AsyncGenerator<Uint8Array> {
    const patience = this.patience.reader;
    let next = start;
    let inVain = 0;
    while (next <= end) {
      const from = next;
      let fault: unknown = new Error("its answer ended too early");
      const answer = await this.noted("reading", () => this.rangeOf(key, { start: from, end }));
      try {
        for await (const chunk of bytesOf(answer, patience.silenceMs)) {
          const some = chunk.subarray(0, end + 1 - next);
          next += some.length;
          if (some.length > 0) yield some;
          if (some.length < chunk.length) break;
        }
      } catch (error) {
        fault = error;
      }
      if (next > end) return;
      inVain = next > from ? 0 : inVain + 1;
      if (inVain >= patience.tries) throw this.failed("reading", unavailable(fault));
      await delay(pauseAfter(inVain + 1, patience));
    }
  }

  /** Whether it can be used, as far as is known; what failed is tried anew. */
  async isUsable(): Promise<boolean> {
    if (this.inDoubt === null) return true;
    // Whoever asks meanwhile hears of the same try.
    this.probing ??= this.probe(this.inDoubt).finally(() => {
      this.probing = undefined;
    });
    return this.probing;
  }

  close(): void {
    this.requests.close();
  }

  private async put(key: string, body: ObjectBody): Promise<void> {
    throwAway(await this.requests.ask({ method: "PUT", key, body }, this.patience.writer));
  }

  /** Adds the names of a page. @returns where the next one begins; null when it was the last */
  private async listPage(folder: string, token: string, found: string[]): Promise<string | null> {
    const prefix = `${this.config.prefix}${folder}`;
    const query = { "list-type": "2", prefix, ...(token === "" ? {} : { "continuation-token": token }) };
    const elements = elementsIn(await this.requests.text({ method: "GET", query }, this.patience.reader));
    for (const { name, text } of elements) {
      if (name === "Key" && text.startsWith(prefix)) found.push(text.slice(prefix.length));
    }
    return textOf(elements, "IsTruncated") === "true" ? textOf(elements, "NextContinuationToken") : null;
  }

  private async rangeOf(key: string, { start, end }: ByteSpan): Promise<IncomingMessage> {
    const headers = { range: `bytes=${start}-${end}` };
    const answer = await this.requests.ask({ method: "GET", key, headers }, this.patience.reader);
    // Some answer with more than was asked for, or with all of it: what is too much is cut off.
    const isRange = answer.statusCode === 206 && answer.headers["content-range"]?.startsWith(`bytes ${start}-`);
    if (isRange || (answer.statusCode === 200 && start === 0)) return answer;
    answer.destroy();
    throw new ObjectStorageUnavailable("it answered with another range", false);
  }

  private async probe(what: Doing): Promise<boolean> {
    const patience = this.patience.probe;
    const requests: ObjectRequest[] =
      what === "reading"
        ? [{ method: "GET", query: { "list-type": "2", "max-keys": "1", prefix: this.config.prefix } }]
        : [
            { method: "PUT", key: PROBE_KEY, body: bodyOfText(PROBE_KEY) },
            { method: "DELETE", key: PROBE_KEY },
          ];
    try {
      await this.noted(what, async () => {
        for (const request of requests) throwAway(await this.requests.ask(request, patience));
      });
      return true;
    } catch (error) {
      if (error instanceof ObjectStorageUnavailable) return false;
      throw error;
    }
  }

  private async ifThere<T>(ask: () => Promise<T>): Promise<T | null> {
    try {
      return await ask();
    } catch (error) {
      if (error instanceof NoSuchObject) return null;
      throw error;
    }
  }

  /** Does something with the storage, and keeps in mind whether that was possible. */
  private async noted<T>(what: Doing, work: () => Promise<T>): Promise<T> {
    try {
      const result = await work();
      this.succeeded(what);
      return result;
    } catch (error) {
      throw this.failed(what, error);
    }
  }

  private failed(what: Doing, error: unknown): unknown {
    if (error instanceof NoSuchObject) {
      this.succeeded(what);
      return error;
    }
    if (!(error instanceof ObjectStorageUnavailable)) return error;
    if (this.inDoubt !== "writing") this.inDoubt = what;
    if (!this.hasFailed) this.report(`the object storage cannot be used for ${what}: ${error.message}`);
    this.hasFailed = true;
    return error;
  }

  /** Who may write may read; who reads shows nothing of writing. */
  private succeeded(what: Doing): void {
    if (this.inDoubt === "writing" && what === "reading") return;
    if (this.hasFailed) this.report("the object storage can be used again");
    this.hasFailed = false;
    this.inDoubt = null;
  }
}

function elementsIn(document: string): ReturnType<typeof elementsOf> {
  try {
    return elementsOf(document);
  } catch (error) {
    throw unavailable(error);
  }
}
