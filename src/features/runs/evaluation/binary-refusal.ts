import { open } from "node:fs/promises";
import { GZIP_MAGIC } from "../../../core/table/archive/unpack.js";
import { isZip } from "../../../core/table/archive/zip-archive.js";
import { emptyLog, LogError } from "../../../core/table/log-error.js";
import { detectEncoding } from "../../../core/table/text/text.js";
import type { UnreadableLog } from "./evaluation-thread.js";

/** As many as reading a log looks at to tell what it is. */
const HEAD_BYTES = 4_096;

/** Why a file is no log at all, by its first bytes as the evaluation would judge them; null when it may be one. There is nothing to keep of a file without bytes. */
export async function binaryRefusal(path: string): Promise<UnreadableLog | null> {
  const head = await headOf(path);
  if (head.length === 0) return refusalOf(emptyLog());
  if (isZip(head) || GZIP_MAGIC.every((byte, at) => head[at] === byte)) return null;
  try {
    detectEncoding(head);
    return null;
  } catch (error) {
    if (!(error instanceof LogError)) throw error;
    return refusalOf(error);
  }
}

const refusalOf = ({ code, message, places }: LogError): UnreadableLog => ({ code, message, errors: places });

async function headOf(path: string): Promise<Uint8Array> {
  const file = await open(path, "r");
  try {
    const { buffer, bytesRead } = await file.read(Buffer.alloc(HEAD_BYTES), 0, HEAD_BYTES, 0);
    return buffer.subarray(0, bytesRead);
  } finally {
    await file.close();
  }
}
