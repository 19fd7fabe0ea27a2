import { createReadStream } from "node:fs";
import { open, readFile } from "node:fs/promises";
import { Readable } from "node:stream";
import { pipeline } from "node:stream/promises";
import { createGunzip } from "node:zlib";
import { GZIP_MAGIC } from "../../../core/table/archive/unpack.js";
import { filesIn, isZip } from "../../../core/table/archive/zip-archive.js";
import { LogError } from "../../../core/table/log-error.js";
import type { LogSource } from "./evaluation-thread.js";

/** Size, unpacked, from which a log counts as large. */
const LARGE_LOG_BYTES = 2 ** 20;
const HEAD_BYTES = 4;
/** What is packed once more: its size is not known without unpacking it. */
const PACKED_AGAIN = /\.(gz|zip|xlsx|xlsm)$/i;

/** Whether a log takes long to evaluate. Such logs are evaluated one at a time, and leave a thread to the others. */
export async function isLarge(log: LogSource): Promise<boolean> {
  const isFile = typeof log === "string";
  const { size, head } = isFile ? await look(log) : { size: log.length, head: log };
  if (size >= LARGE_LOG_BYTES) return true;
  if (GZIP_MAGIC.every((byte, at) => head[at] === byte))
    return unpacksToLarge(isFile ? createReadStream(log) : Readable.from([log]));
  return isZip(head) && holdsLarge(isFile ? await readFile(log) : log);
}

async function look(path: string): Promise<{ size: number; head: Uint8Array }> {
  const file = await open(path, "r");
  try {
    const { size } = await file.stat();
    const { buffer } = await file.read(Buffer.alloc(HEAD_BYTES), 0, HEAD_BYTES, 0);
    return { size, head: buffer };
  } finally {
    await file.close();
  }
}

/** Unpacks no more than it takes to tell. What is broken is found so when it is read. */
async function unpacksToLarge(packed: Readable): Promise<boolean> {
  let bytes = 0;
  const count = async (chunks: AsyncIterable<Buffer>): Promise<void> => {
    for await (const chunk of chunks) {
      bytes += chunk.length;
      if (bytes >= LARGE_LOG_BYTES) return;
    }
  };
  await pipeline(packed, createGunzip(), count).catch((error: NodeJS.ErrnoException) => {
    if (!error.code?.startsWith("Z_") && error.code !== "ABORT_ERR") throw error;
  });
  return bytes >= LARGE_LOG_BYTES;
}

function holdsLarge(archive: Uint8Array): boolean {
  try {
    const files = filesIn(archive);
    const bytes = files.reduce((sum, { originalSize }) => sum + originalSize, 0);
    return bytes >= LARGE_LOG_BYTES || files.some(({ name }) => PACKED_AGAIN.test(name));
  } catch (error) {
    if (error instanceof LogError) return false;
    throw error;
  }
}
