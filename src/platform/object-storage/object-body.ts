import { createHash } from "node:crypto";
import { createReadStream } from "node:fs";
import { Readable } from "node:stream";

/** Bytes from one to another, both included. */
export interface ByteSpan {
  readonly start: number;
  readonly end: number;
}

/** What is sent: read anew at each try, and held to its digest by the storage. */
export interface ObjectBody {
  readonly bytes: number;
  /** SHA-256, hexadecimal. */
  readonly sha256: string;
  open(): Readable;
}

export function bodyOfText(text: string): ObjectBody {
  const bytes = Buffer.from(text);
  const sha256 = createHash("sha256").update(bytes).digest("hex");
  return { bytes: bytes.length, sha256, open: () => Readable.from([bytes], { objectMode: false }) };
}

/** A file whose size and digest are known. */
export function bodyOfFile(path: string, { bytes, sha256 }: Pick<ObjectBody, "bytes" | "sha256">): ObjectBody {
  return { bytes, sha256, open: () => createReadStream(path) };
}

/** Some bytes of a file; it is read once for their digest and again for each try to send them. */
export async function bodyOfSpan(path: string, { start, end }: ByteSpan): Promise<ObjectBody> {
  const hash = createHash("sha256");
  for await (const chunk of createReadStream(path, { start, end })) hash.update(chunk as Uint8Array);
  return { bytes: end - start + 1, sha256: hash.digest("hex"), open: () => createReadStream(path, { start, end }) };
}
