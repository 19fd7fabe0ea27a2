import { open } from "node:fs/promises";
import { GZIP_MAGIC } from "../../../core/table/unpack.js";

/** Size as sent from which a log counts as large; a packed one may hold a thousand times as much. */
const LARGE_LOG_BYTES = 2 ** 20;
const LARGE_PACKED_BYTES = 2 ** 12;

/** Whether a log file is one of those that are evaluated one at a time. */
export async function isLarge(path: string): Promise<boolean> {
  const file = await open(path, "r");
  try {
    const { size } = await file.stat();
    const { buffer } = await file.read(Buffer.alloc(GZIP_MAGIC.length), 0, GZIP_MAGIC.length, 0);
    const isPacked = GZIP_MAGIC.every((byte, i) => buffer[i] === byte);
    return size >= (isPacked ? LARGE_PACKED_BYTES : LARGE_LOG_BYTES);
  } finally {
    await file.close();
  }
}
