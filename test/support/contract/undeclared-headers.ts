/** Header fields that say nothing of one operation: of the connection, the body's own form, or what browsers may do with any answer. */
const GENERAL: ReadonlySet<string> = new Set([
  // Connection and message (RFC 9110, 6.6.1, 7.6.1, 8.3, 8.4, 8.6; RFC 9112, 6.1 and 9.3).
  "connection",
  "content-encoding",
  "content-length",
  "content-type",
  "date",
  "keep-alive",
  "transfer-encoding",
  // What the answer depends on (RFC 9110, 12.5.5), and the occurrence that a report names.
  "vary",
  "x-request-id",
  // Security fields of every answer (`headers/security-headers.ts`).
  "content-security-policy",
  "cross-origin-opener-policy",
  "cross-origin-resource-policy",
  "origin-agent-cluster",
  "referrer-policy",
  "strict-transport-security",
  "x-content-type-options",
  "x-dns-prefetch-control",
  "x-download-options",
  "x-frame-options",
  "x-permitted-cross-domain-policies",
  "x-xss-protection",
]);

/** Those of the CORS protocol (Fetch Standard). */
const CORS = "access-control-";

/** Names of the header fields of an answer that neither hold for every answer nor are among those that are declared for it. */
export function undeclaredHeaders(sent: Readonly<Record<string, unknown>>, declared: readonly string[]): string[] {
  const known = new Set(declared.map((name) => name.toLowerCase()));
  return Object.entries(sent)
    .filter(([, value]) => value !== undefined)
    .map(([name]) => name.toLowerCase())
    .filter((name) => !GENERAL.has(name) && !name.startsWith(CORS) && !known.has(name))
    .sort();
}
