import { Readable } from "node:stream";
import { createGunzip } from "node:zlib";
import { type ByteChunks, CHUNK_BYTES } from "./chunks.js";
import { damagedGzip } from "./damaged-gzip.js";

/**
 * Unpacks gzip (RFC 1952), one member or several, with its checksums. This file alone of what evaluates a log needs Node, so
 * that a build for browsers has one file to put another in the place of.
 *
 * @throws LogError `log-damaged`
 */
export async function* gunzip(packed: ByteChunks): AsyncGenerator<Uint8Array> {
  const unpacked = Readable.from(packed, { objectMode: false }).pipe(createGunzip({ chunkSize: CHUNK_BYTES }));
  try {
    for await (const chunk of unpacked) yield chunk as Uint8Array;
  } catch (error) {
    if (!isZlibError(error)) throw error;
    throw damagedGzip();
  }
}

function isZlibError(error: unknown): boolean {
  return typeof error === "object" && error !== null && "code" in error && String(error.code).startsWith("Z_");
}
