import { Readable } from "node:stream";
import type { FastifyReply, FastifyRequest } from "fastify";
import { acceptsCompression, leaveUncompressed } from "../../../platform/http/answers/compression.js";
import { matchesEntityTag } from "../../../platform/http/answers/entity-tag.js";
import { acceptedType } from "../../../platform/http/requests/accept.guard.js";
import { type ByteRange, rangeAsked } from "./byte-range.js";
import type { StoredLog } from "./stored-log.js";

/** What every log may be taken for: bytes. */
const BYTES = "application/octet-stream";

/**
 * Bytes under a digest never change, but what holds them may leave the record, or hold the name of somebody who was erased: a
 * cache asks each time whether it may still give them out (RFC 9111, 5.2.2.4).
 */
const CACHE = { public: "public, no-cache", private: "private, no-cache" } as const;

/**
 * Sends a log, or the range of its bytes that was asked for (RFC 9110, 14); a client that has it already is told so
 * first. It is offered as a file, never for a browser to show. A part goes out as it is, never compressed.
 */
export async function sendLog(log: StoredLog, request: FastifyRequest, reply: FastifyReply): Promise<void> {
  const part = partAsked(log, request, reply);
  const { start, end } = part ?? { start: 0, end: log.bytes - 1 };
  const contentType = acceptedType(request, [log.mediaType, BYTES]);
  const isCompressed = !part && acceptsCompression(request) && !(await log.isPacked());
  // What cannot be read is refused before anything of the answer is said.
  const bytes = isRead(log, request) ? await begun(log.read({ start, end })) : Readable.from([]);
  if (!isCompressed) leaveUncompressed(request);
  reply.headers({
    "content-type": contentType,
    "accept-ranges": "bytes",
    "content-disposition": `attachment; filename*=UTF-8''${encodeRfc8187(log.fileName)}`,
    "cache-control": CACHE[log.isPublic ? "public" : "private"],
    ...digestFields(log.sha256, isCompressed),
    "content-length": String(end - start + 1),
  });
  if (part) reply.status(206).header("content-range", `bytes ${start}-${end}/${log.bytes}`);
  await reply.send(bytes);
}

/** Whether its bytes go out: not to HEAD, nor to a client that has them. */
function isRead({ sha256 }: StoredLog, { method, headers }: FastifyRequest): boolean {
  const ifNoneMatch = headers["if-none-match"];
  return method === "GET" && !(ifNoneMatch && matchesEntityTag(ifNoneMatch, entityTagOf(sha256)));
}

/** Some bytes as a stream of which the first ones are there. */
async function begun(bytes: AsyncIterable<Uint8Array>): Promise<Readable> {
  const iterator = bytes[Symbol.asyncIterator]();
  let first: IteratorResult<Uint8Array> | null = await iterator.next();
  return new Readable({
    read() {
      const next = first ? Promise.resolve(first) : iterator.next();
      first = null;
      next.then(
        ({ done, value }) => this.push(done ? null : value),
        (error) => this.destroy(error),
      );
    },
    // Also of what nobody reads to its end.
    destroy(error, done) {
      Promise.resolve(iterator.return?.()).then(
        () => done(error),
        () => done(error),
      );
    },
  });
}

/** Range is defined for GET alone (RFC 9110, 14.2), and comes after If-None-Match (13.2.2). */
function partAsked(log: StoredLog, request: FastifyRequest, reply: FastifyReply): ByteRange | null {
  if (!isRead(log, request)) return null;
  const { bytes, sha256 } = log;
  // What a refusal says; an answer with a part says which.
  reply.header("content-range", `bytes */${bytes}`);
  const range = rangeAsked(request.headers, bytes, entityTagOf(sha256));
  reply.removeHeader("content-range");
  return range;
}

function entityTagOf(sha256: Buffer): string {
  return `"${sha256.toString("hex")}"`;
}

/**
 * Entity tag and digest. The tag of the very bytes is strong; compressed, they are another representation, which has a weak
 * tag (RFC 9110, 8.8.3.3) and whose own digest (RFC 9530) is not known: the field says that of the bytes within
 * (draft-ietf-httpbis-unencoded-digest-04, from memory).
 */
function digestFields(sha256: Buffer, isCompressed: boolean): Record<string, string> {
  const digest = `sha-256=:${sha256.toString("base64")}:`;
  const tag = entityTagOf(sha256);
  return isCompressed ? { etag: `W/${tag}`, "unencoded-digest": digest } : { etag: tag, "repr-digest": digest };
}

/** Text as an extended header parameter (RFC 8187). */
function encodeRfc8187(text: string): string {
  return encodeURIComponent(text).replace(
    /['()*]/g,
    (character) => `%${character.charCodeAt(0).toString(16).toUpperCase()}`,
  );
}
