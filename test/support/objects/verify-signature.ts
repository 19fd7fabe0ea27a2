import { createHash, createHmac } from "node:crypto";
import type { IncomingMessage } from "node:http";

/** Who may ask, and for which region. */
export interface Signer {
  readonly accessKeyId: string;
  readonly secretAccessKey: string;
  readonly region: string;
}

/** Amazon S3 refuses what was signed longer ago, ms ("RequestTimeTooSkewed", error responses of its API Reference; from memory). */
const MAX_SKEW_MS = 15 * 60_000;

const sha256 = (text: string) => createHash("sha256").update(text).digest("hex");
const hmac = (key: string | Buffer, text: string) => createHmac("sha256", key).update(text).digest();
/** Every byte but A-Z, a-z, 0-9, "-", ".", "_" and "~" (Signature Version 4, "UriEncode()"). */
const encoded = (text: string) =>
  encodeURIComponent(text).replace(/[!'()*]/g, (one) => `%${one.charCodeAt(0).toString(16).toUpperCase()}`);

/**
 * Verifies the signature of a request by the steps of the published algorithm (Amazon S3, API Reference, "Signature Calculations for the
 * Authorization Header: Transferring Payload in a Single Chunk"), without the library that signed it.
 *
 * @returns the code of the refusal; null when it is right
 */
export function refusalOf(
  { method, url = "", headers }: Pick<IncomingMessage, "method" | "url" | "headers">,
  signer: Signer,
  now = Date.now(),
): string | null {
  const said = /^AWS4-HMAC-SHA256 Credential=([^,]+),\s*SignedHeaders=([^,]+),\s*Signature=([0-9a-f]{64})$/.exec(
    headers.authorization ?? "",
  );
  if (!said) return "AccessDenied";
  const [, credential = "", names = "", signature] = said;
  const time = String(headers["x-amz-date"]);
  const scope = `${time.slice(0, 8)}/${signer.region}/s3/aws4_request`;
  if (!credential.startsWith(`${signer.accessKeyId}/`)) return "InvalidAccessKeyId";
  if (credential !== `${signer.accessKeyId}/${scope}`) return "AuthorizationHeaderMalformed";
  const signedAt = Date.parse(time.replace(/^(\d{4})(\d\d)(\d\d)T(\d\d)(\d\d)(\d\d)Z$/, "$1-$2-$3T$4:$5:$6Z"));
  if (!(Math.abs(now - signedAt) < MAX_SKEW_MS)) return "RequestTimeTooSkewed";
  const signed = names.split(";");
  const needed = ["host", ...Object.keys(headers).filter((name) => name.startsWith("x-amz-"))];
  if (needed.some((name) => !signed.includes(name))) return "AccessDenied";
  const [path = "", query = ""] = url.split("?");
  const pairs = [...new URLSearchParams(query)].map(([name, value]) => `${encoded(name)}=${encoded(value)}`);
  const canonical = [
    method,
    path
      .split("/")
      .map((segment) => encoded(decodeURIComponent(segment)))
      .join("/"),
    pairs.sort().join("&"),
    ...signed.map((name) => `${name}:${String(headers[name] ?? "").trim()}`),
    "",
    names,
    headers["x-amz-content-sha256"],
  ].join("\n");
  const toSign = ["AWS4-HMAC-SHA256", time, scope, sha256(canonical)].join("\n");
  const key = scope
    .split("/")
    .reduce<string | Buffer>((made, part) => hmac(made, part), `AWS4${signer.secretAccessKey}`);
  return hmac(key, toSign).toString("hex") === signature ? null : "SignatureDoesNotMatch";
}
