import { createHash } from "node:crypto";
import { createParamDecorator, type ExecutionContext } from "@nestjs/common";
import type { FastifyReply, FastifyRequest } from "fastify";
import { matchesEntityTag } from "./entity-tag.js";

declare module "fastify" {
  interface FastifyInstance {
    /** Tells what the answers of this program look like from those of another version of it. */
    answersVersion: string;
  }
}

/** A read whose version is known at less cost than its body (RFC 9110, 13.1.2). */
export class ConditionalRead {
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
    const { url, headers, server } = this.request;
    const text = JSON.stringify([server.answersVersion, url, headers.accept ?? null, version], withoutBigInt);
    const entityTag = `W/"${createHash("sha256").update(text).digest("base64url").slice(0, 27)}"`;
    this.reply.header("etag", entityTag);
    if (!matchesEntityTag(headers["if-none-match"] ?? "", entityTag)) return read(version);
    this.reply.status(304);
    return undefined;
  }

  /** Answers with JSON that is written already. */
  writtenJson(text: string): string {
    this.reply.header("content-type", "application/json; charset=utf-8");
    return text;
  }
}

const withoutBigInt = (_: string, value: unknown) => (typeof value === "bigint" ? String(value) : value);

/** For a handler of a GET whose answer has a version. */
export const Conditional = createParamDecorator((_: unknown, context: ExecutionContext) => {
  const http = context.switchToHttp();
  return new ConditionalRead(http.getRequest<FastifyRequest>(), http.getResponse<FastifyReply>());
});
