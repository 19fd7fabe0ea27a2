import { createHmac, randomBytes } from "node:crypto";

/** Standard Webhooks 1.0 (standardwebhooks.com), symmetric signatures: a secret has 24 to 64 random bytes. */
const SECRET_BYTES = 32;

export const newSecret = (): Uint8Array<ArrayBuffer> => Uint8Array.from(randomBytes(SECRET_BYTES));

/** A secret as its owner is shown it. */
export const secretText = (secret: Uint8Array): string => `whsec_${Buffer.from(secret).toString("base64")}`;

/**
 * The header fields of a message by Standard Webhooks 1.0: HMAC-SHA256 over id, time and body, with full stops between.
 *
 * @param id names the message, and is the same at every try
 * @param at when it is sent
 * @param secrets each makes a signature of its own, so that a receiver who knows any of them verifies the message
 */
export function signedHeaders(
  id: string,
  at: Date,
  body: string,
  secrets: readonly Uint8Array[],
): Record<string, string> {
  const timestamp = String(Math.floor(at.getTime() / 1_000));
  const sign = (secret: Uint8Array) =>
    `v1,${createHmac("sha256", secret).update(`${id}.${timestamp}.${body}`).digest("base64")}`;
  return { "webhook-id": id, "webhook-timestamp": timestamp, "webhook-signature": secrets.map(sign).join(" ") };
}
