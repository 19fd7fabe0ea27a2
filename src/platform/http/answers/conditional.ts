import { createHash } from "node:crypto";
import { createParamDecorator, type ExecutionContext } from "@nestjs/common";
import type { FastifyReply, FastifyRequest } from "fastify";
import { matchesEntityTag } from "./entity-tag.js";
import { KeptBodies, type KeptBody } from "./kept-bodies.js";
import { JSON_SENT, keepRevised } from "./revised-reads.js";

declare module "fastify" {
  interface FastifyInstance {
    /** Tells what the answers of this program look like from those of another version of it. */
    answersVersion: string;
  }
}

/** Of each service of this process. */
const keptBodies = new WeakMap<object, KeptBodies>();

/** A read whose version is known at less cost than its body (RFC 9110, 13.1.2). */
export class ConditionalRead {
  private revision: string | null = null;
  private entityTag = "";

  constructor(
    private readonly request: FastifyRequest,
    private readonly reply: FastifyReply,
  ) {}

  /**
   * Reads what is asked for unless the client has it already. The version is read first: what changes between the two reads
   * is shown under the older version, which no later request is answered 304 for.
   *
   * @param readVersion what tells this state of the answer from every other one at the same address
   * @param read the answer, given that
   * @returns nothing when the client has it, which is answered 304
   */
  async unlessCurrent<V, T>(readVersion: () => Promise<V>, read: (version: V) => Promise<T>): Promise<T | undefined> {
    const version = await readVersion();
    return this.isCurrent(version) ? undefined : read(version);
  }

  /**
   * The same for an answer that takes long to make and says the same to everybody who is nobody: what one stranger was answered is kept for the next
   * who asks for the same state of it.
   *
   * @param read an answer that is sent as it is, or as JSON
   */
  async keptUnlessCurrent<V, T extends object | string | Buffer>(
    readVersion: () => Promise<V>,
    read: (version: V) => Promise<T>,
  ): Promise<T | string | Buffer | undefined> {
    const version = await readVersion();
    if (this.isCurrent(version)) return undefined;
    const { headers, protocol, host, server } = this.request;
    if (headers.authorization !== undefined) return read(version);
    const bodies = keptBodies.get(server) ?? new KeptBodies();
    keptBodies.set(server, bodies);
    // Tables and pictures name the address at which they were asked for.
    const key = `${protocol}://${host} ${this.reply.getHeader("etag")}`;
    let kept = bodies.get(key);
    if (!kept) {
      kept = this.asSent(await read(version));
      bodies.keep(key, kept);
    }
    this.reply.header("content-type", kept.contentType);
    return kept.body;
  }

  /** Says, before anything else is read, that an answer of JSON is read from what has this revision alone: the next stranger is given it while that stays. */
  isReadFrom(revision: string): void {
    this.revision = revision;
  }

  /** Answers with JSON that is written already. */
  writtenJson(text: string): string {
    this.reply.header("content-type", JSON_SENT);
    this.keep(text);
    return text;
  }

  /** Sets the entity tag of a version, and 304 where the client has it. */
  private isCurrent(version: unknown): boolean {
    const { url, headers, server } = this.request;
    const text = JSON.stringify([server.answersVersion, url, headers.accept ?? null, version], withoutBigInt);
    const entityTag = `W/"${createHash("sha256").update(text).digest("base64url").slice(0, 27)}"`;
    this.reply.header("etag", entityTag);
    this.entityTag = entityTag;
    if (!matchesEntityTag(headers["if-none-match"] ?? "", entityTag)) return false;
    this.reply.status(304);
    this.keep(null);
    return true;
  }

  private keep(body: string | null): void {
    const { request, revision, entityTag } = this;
    if (revision !== null) keepRevised(request, revision, { entityTag, body });
  }

  private asSent(answer: object | string | Buffer): KeptBody {
    if (typeof answer !== "string" && !Buffer.isBuffer(answer)) {
      return { body: JSON.stringify(answer), contentType: JSON_SENT };
    }
    return { body: answer, contentType: String(this.reply.getHeader("content-type")) };
  }
}

const withoutBigInt = (_: string, value: unknown) => (typeof value === "bigint" ? String(value) : value);

/** For a handler of a GET whose answer has a version. */
export const Conditional = createParamDecorator((_: unknown, context: ExecutionContext) => {
  const http = context.switchToHttp();
  return new ConditionalRead(http.getRequest<FastifyRequest>(), http.getResponse<FastifyReply>());
});
