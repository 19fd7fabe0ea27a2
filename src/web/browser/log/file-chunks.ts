import { CHUNK_BYTES } from "../../../core/table/archive/chunks.js";
import type { LogAnswerBody } from "./messages.js";

/** The browser does not give the bytes of a file that was chosen: it was changed, moved or removed since. */
export class FileUnavailable extends Error {}

/** The bytes of a file, with progress. @throws FileUnavailable */
export async function* chunksOfFile(
  log: Blob,
  tell: (progress: LogAnswerBody) => void = () => {},
): AsyncGenerator<Uint8Array> {
  for (let at = 0; at < log.size; at += CHUNK_BYTES) {
    tell({ kind: "progress", done: at, total: log.size });
    yield new Uint8Array(await bytesOf(log.slice(at, at + CHUNK_BYTES)));
  }
}

async function bytesOf(part: Blob): Promise<ArrayBuffer> {
  try {
    return await part.arrayBuffer();
  } catch (error) {
    // File API, 9.1: a file whose state differs from when it was chosen is not read.
    throw new FileUnavailable(error instanceof Error ? error.message : String(error));
  }
}
