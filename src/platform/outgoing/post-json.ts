import { type IncomingMessage, request as requestHttp } from "node:http";
import { request as requestHttps } from "node:https";
import { isIP } from "node:net";
import { guardedLookup, mayBeAsked, NotPublic } from "./public-address.js";

export interface PostOptions {
  readonly headers: Readonly<Record<string, string>>;
  /** Longest time from the lookup of the name to the head of the answer, ms. */
  readonly timeoutMs: number;
  /** Whether this machine itself may be asked, also without TLS. */
  readonly loopbackToo: boolean;
}

const MAX_HEADER_BYTES = 16_384;

/**
 * Posts JSON to an address that a user named, each time over a connection of its own. Redirects are not followed, and of the
 * answer nothing but its head is read.
 *
 * @returns the answer's status
 * @throws NotPublic when the host is not on the public Internet, or the fault of the connection
 */
export async function postJson(url: URL, body: string, options: PostOptions): Promise<number> {
  const { headers, timeoutMs, loopbackToo } = options;
  const host = url.hostname.replace(/^\[|\]$/g, "");
  // The lookup is not asked about a host that is an address already.
  if (isIP(host) !== 0 && !mayBeAsked(host, loopbackToo)) throw new NotPublic();
  if (url.protocol !== "https:" && !loopbackToo) throw new NotPublic();
  const ask = url.protocol === "https:" ? requestHttps : requestHttp;
  const answered = Promise.withResolvers<number>();
  const request = ask(
    url,
    {
      method: "POST",
      agent: false,
      lookup: guardedLookup(loopbackToo) as never,
      maxHeaderSize: MAX_HEADER_BYTES,
      signal: AbortSignal.timeout(timeoutMs),
      headers: {
        ...headers,
        "content-type": "application/json",
        "content-length": String(Buffer.byteLength(body)),
        connection: "close",
      },
    },
    (response: IncomingMessage) => {
      answered.resolve(response.statusCode ?? 0);
      response.on("error", () => undefined);
      response.destroy();
    },
  );
  // Also of what comes after the answer: a fault that nobody hears would end the process.
  request.on("error", answered.reject);
  request.end(body);
  return answered.promise;
}
