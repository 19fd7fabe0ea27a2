import { createHash } from "node:crypto";
import { Readable } from "node:stream";
import type { FastifyInstance, FastifyReply, FastifyRequest } from "fastify";
import { leaveUncompressed, VARIES_WITH_CODING, varyBy } from "./compression.js";

/** Whether a header `If-None-Match` names the tag, by weak comparison (RFC 9110, 13.1.2 and 8.8.3.2). */
export function matchesEntityTag(ifNoneMatch: string, entityTag: string): boolean {
  if (ifNoneMatch.trim() === "*") return true;
  const opaque = (tag: string) => tag.replace(/^W\//, "");
  const listed = ifNoneMatch.match(/(W\/)?"[\x21\x23-\x7e\x80-\xff]*"/g) ?? [];
  return listed.some((tag) => opaque(tag) === opaque(entityTag));
}

/** What describes the content that a 304 does not carry: its recipient has these from before (RFC 9110, 15.4.5). */
const FIELDS_OF_CONTENT = [
  "content-type",
  "content-length",
  "content-disposition",
  "accept-ranges",
  "repr-digest",
  "unencoded-digest",
] as const;

/** Whether a field describes content, which a 304 does not carry. */
export const isOfContent = (field: string): boolean => FIELDS_OF_CONTENT.some((one) => one === field.toLowerCase());

/** What caches are told of a read: to ask before each use, and what the answer depends on. */
export function sayHowToCache(request: FastifyRequest, reply: FastifyReply): void {
  if (!reply.hasHeader("cache-control")) {
    reply.header("cache-control", request.headers.authorization ? "private, no-cache" : "public, no-cache");
  }
  varyBy(reply, "accept", VARIES_WITH_CODING, "authorization");
}

/**
 * Gives every successful read an entity tag made of its body and a rule for caches, and answers 304 to a client that
 * has this body already. Streams are left alone: whoever sends one knows its tag. The tags made here are weak, so that one
 * stands for the body in every content coding (RFC 9110, 8.8.3.3).
 */
export function addEntityTags(server: FastifyInstance): void {
  server.addHook("onSend", async (request, reply, payload) => {
    const isRead = request.method === "GET" || request.method === "HEAD";
    if (!isRead || ![200, 206, 304].includes(reply.statusCode)) return payload;
    sayHowToCache(request, reply);
    if (!reply.hasHeader("etag")) {
      if (typeof payload !== "string" && !Buffer.isBuffer(payload)) return payload;
      reply.header("etag", `W/"${createHash("sha256").update(payload).digest("base64url").slice(0, 27)}"`);
    }
    const ifNoneMatch = request.headers["if-none-match"];
    if (!ifNoneMatch || !matchesEntityTag(ifNoneMatch, String(reply.getHeader("etag")))) return payload;
    reply.status(304);
    for (const field of FIELDS_OF_CONTENT) reply.removeHeader(field);
    if (request.method === "GET") return null;
    // The framework's own handler of HEAD, which runs last, takes a stream or a text and fails at null.
    leaveUncompressed(request);
    return Readable.from([]);
  });
}
