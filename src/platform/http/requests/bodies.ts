import type { FastifyInstance } from "fastify";
import { Problem } from "../../problems/problem.js";

const UTF8 = new TextDecoder("utf-8", { fatal: true });

/**
 * The text of a JSON body, which is UTF-8 between systems (RFC 8259, 8.1). Other bytes would be stored as replacement
 * characters, for good.
 *
 * @throws Problem `malformed-body` where a byte is no UTF-8
 */
export function readUtf8(bytes: Uint8Array): string {
  try {
    return UTF8.decode(bytes);
  } catch (cause) {
    if (!(cause instanceof TypeError)) throw cause;
    const detail = "The body is not UTF-8, as JSON has to be (RFC 8259, 8.1). Encode it as UTF-8 and send it again.";
    throw new Problem("malformed-body", detail, { cause });
  }
}

/** Takes JSON. Many clients name it as the media type of every request, also of a deletion, which has no body. */
export function takeJson(server: FastifyInstance): void {
  const parseJson = server.getDefaultJsonParser("error", "error");
  server.addContentTypeParser<Buffer>("application/json", { parseAs: "buffer" }, (request, body, done) => {
    if (request.method === "DELETE" && body.length === 0) return done(null, undefined);
    try {
      parseJson(request, readUtf8(body), done);
    } catch (error) {
      done(error as Error);
    }
  });
}

/** Refuses a body that is compressed as a whole, and says so (RFC 9110, 8.4.1 and 12.5.3): none is unpacked unasked. */
export function refuseCodedBodies(server: FastifyInstance): void {
  server.addHook("preParsing", async (request, reply) => {
    const coding = request.headers["content-encoding"]?.trim().toLowerCase() ?? "identity";
    if (coding === "identity" || ["GET", "HEAD", "OPTIONS"].includes(request.method)) return;
    reply.header("accept-encoding", "identity");
    const detail = "Send the body without Content-Encoding. A log itself may be gzip, as a file of a multipart body.";
    throw new Problem("unsupported-media-type", detail);
  });
}
