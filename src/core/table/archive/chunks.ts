export const MIB = 1024 * 1024;

/** What is read at a time, bytes. */
export const CHUNK_BYTES = 1 << 20;

export type ByteChunks = AsyncIterable<Uint8Array> | Iterable<Uint8Array>;

/** A whole log in memory as chunks that share its memory. */
export function* chunksOf(log: Uint8Array): Generator<Uint8Array> {
  for (let at = 0; at < log.length; at += CHUNK_BYTES) yield log.subarray(at, at + CHUNK_BYTES);
}
