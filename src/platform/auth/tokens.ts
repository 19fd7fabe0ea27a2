import { createHash, randomBytes } from "node:crypto";

/** Begins every key, so that a person or a scanner for secrets can tell what it is. */
export const KEY_PREFIX = "plkey_";

/** 256 random bits as 43 characters. */
export function newToken(): string {
  return randomBytes(32).toString("base64url");
}

/** What is stored of a token: it has too many bits to be guessed from its hash, and is looked up by it. */
export function hashOfToken(token: string): Buffer<ArrayBuffer> {
  return createHash("sha256").update(token).digest();
}
