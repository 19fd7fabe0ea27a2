import { createPublicKey, type KeyObject, sign, verify } from "node:crypto";
import canonicalize from "canonicalize";

/**
 * What the audit log was at one moment, signed, to be kept where nobody who can change the database can change it. The
 * signature is Ed25519 (RFC 8032) over the canonical JSON (RFC 8785) of all other members.
 */
export interface Checkpoint {
  readonly format: "packledger-audit-checkpoint";
  readonly version: 1;
  /** Number of entries. */
  readonly length: number;
  /** Hash of the last of them, hexadecimal. */
  readonly head: string;
  /** RFC 3339 in UTC. */
  readonly time: string;
  /** The raw 32 bytes of the Ed25519 key, base64url. */
  readonly publicKey: string;
  /** The 64 bytes of the signature, base64url. */
  readonly signature: string;
}

/** @param time RFC 3339 in UTC */
export function makeCheckpoint(length: number, head: string, time: string, key: KeyObject): Checkpoint {
  const publicKey = publicKeyText(key);
  const content = { format: "packledger-audit-checkpoint", version: 1, length, head, time, publicKey } as const;
  return { ...content, signature: sign(null, signedBytes(content), key).toString("base64url") };
}

/**
 * The checkpoint that a file holds.
 *
 * @param publicKey the key that must have signed it, base64url: the one that the file names proves nothing by itself
 * @throws Error when it is none, or was signed by another key, or was changed
 */
export function readCheckpoint(text: string, publicKey: string): Checkpoint {
  const found = parse(text);
  const { signature, ...content } = found;
  if (found.publicKey !== publicKey) {
    throw new Error(`The checkpoint was signed with another key (${found.publicKey}); expected ${publicKey}.`);
  }
  if (!verify(null, signedBytes(content), keyOfText(publicKey), Buffer.from(signature, "base64url"))) {
    throw new Error("The signature of the checkpoint is not valid: the file was changed.");
  }
  return found;
}

/** The raw bytes of a key's public half, base64url, as a JSON Web Key holds them (RFC 8037). */
export function publicKeyText(key: KeyObject): string {
  const { x } = (key.type === "private" ? createPublicKey(key) : key).export({ format: "jwk" });
  if (!x) throw new Error("the key is not an Ed25519 key");
  return x;
}

/** The public key with these raw bytes, base64url. */
export function keyOfText(x: string): KeyObject {
  return createPublicKey({ key: { kty: "OKP", crv: "Ed25519", x }, format: "jwk" });
}

function signedBytes(content: object): Buffer {
  const text = canonicalize(content);
  if (text === undefined) throw new Error("a checkpoint has no canonical form");
  return Buffer.from(text);
}

function parse(text: string): Checkpoint {
  let found: Checkpoint;
  try {
    found = JSON.parse(text);
  } catch {
    throw new Error("The checkpoint file is not JSON.");
  }
  const isCheckpoint =
    found?.format === "packledger-audit-checkpoint" &&
    found.version === 1 &&
    Number.isSafeInteger(found.length) &&
    found.length >= 0 &&
    /^[0-9a-f]{64}$/.test(found.head) &&
    typeof found.publicKey === "string" &&
    typeof found.signature === "string";
  if (!isCheckpoint) throw new Error("The file is not a checkpoint of an audit log (version 1).");
  return found;
}
