import compress from "@fastify/compress";
import type { FastifyInstance, FastifyReply, FastifyRequest } from "fastify";

/** Content codings (RFC 9110, 8.4.1; br: RFC 7932; zstd: RFC 8878), the preferred one first where a client takes several alike. */
const CODINGS = ["zstd", "br", "gzip"];

/** Shorter answers would hardly become smaller, bytes. */
const MIN_BYTES = 1_024;

/** The header field by which the library knows that an answer goes out as it is. */
const AS_IT_IS = "x-no-compression";

/** What changes with the coding that a client accepts. */
export const VARIES_WITH_CODING = "accept-encoding";

/**
 * Compresses answers for clients that accept it, but no event stream, whose parts must not wait for each other. Bodies of
 * requests are taken as they come.
 */
export function addCompression(server: FastifyInstance): void {
  server.register(compress, {
    encodings: CODINGS as ("zstd" | "br" | "gzip")[],
    threshold: MIN_BYTES,
    globalDecompression: false,
  });
  // The library comes after what takes the body off for HEAD, whose answer would then tell of an uncompressed one.
  server.after(() => {
    server.addHook("onRoute", (route) => {
      if (route.method !== "HEAD" || !Array.isArray(route.onSend)) return;
      route.onSend = [...route.onSend.slice(-1), ...route.onSend.slice(0, -1)];
    });
  });
}

/** Sends the answer as it is: one that is compressed already, is a part of a file, or holds a secret. */
export function leaveUncompressed(request: FastifyRequest): void {
  request.headers[AS_IT_IS] = "";
}

/** Whether an answer of this request may be compressed, as far as its client says. */
export function acceptsCompression(request: FastifyRequest): boolean {
  if (request.headers[AS_IT_IS] !== undefined) return false;
  const accepted = String(request.headers["accept-encoding"] ?? "").toLowerCase();
  return accepted.split(",").some((one) => {
    const [coding = "", ...parameters] = one.split(";").map((part) => part.trim());
    return (
      (CODINGS.includes(coding) || coding === "*" || coding === "x-gzip") &&
      !parameters.some((p) => /^q=0(\.0*)?$/.test(p))
    );
  });
}

/** Adds names to the header field `Vary` (RFC 9110, 12.5.5), each once. */
export function varyBy(reply: FastifyReply, ...names: readonly string[]): void {
  const known = String(reply.getHeader("vary") ?? "")
    .split(",")
    .map((name) => name.trim().toLowerCase())
    .filter((name) => name !== "");
  reply.header("vary", [...new Set([...known, ...names])].join(", "));
}
