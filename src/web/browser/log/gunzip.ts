import { Z_NO_FLUSH, Z_OK, Z_STREAM_END, ZStream, zlibInflate, zlibInflateInit2, zlibInflateReset } from "pako";
import { type ByteChunks, CHUNK_BYTES } from "../../../core/table/archive/chunks.js";
import { damagedGzip } from "../../../core/table/archive/damaged-gzip.js";

/** The largest window, and gzip with its checksums in the place of zlib's own format. */
const WINDOW_BITS_GZIP = 15 + 16;

/**
 * Unpacks gzip (RFC 1952) where there is no Node: one member or several, with their checksums; zeros behind the last one
 * are padding.
 *
 * @throws LogError `log-damaged`
 */
export async function* gunzip(packed: ByteChunks): AsyncGenerator<Uint8Array> {
  const stream = new ZStream();
  zlibInflateInit2(stream, WINDOW_BITS_GZIP);
  let memberEnded = false;
  const room = new Uint8Array(CHUNK_BYTES);
  for await (const chunk of packed) {
    stream.input = chunk;
    stream.next_in = 0;
    stream.avail_in = chunk.length;
    do {
      if (memberEnded && stream.avail_in > 0) {
        if (chunk[stream.next_in] === 0) return;
        zlibInflateReset(stream);
        memberEnded = false;
      }
      stream.output = room;
      stream.next_out = 0;
      stream.avail_out = CHUNK_BYTES;
      const status = zlibInflate(stream, Z_NO_FLUSH);
      if (status !== Z_OK && status !== Z_STREAM_END && stream.avail_in > 0) throw damagedGzip();
      memberEnded ||= status === Z_STREAM_END;
      if (stream.next_out > 0) yield room.slice(0, stream.next_out);
    } while (stream.avail_in > 0 || (!memberEnded && stream.avail_out === 0));
  }
  if (!memberEnded) throw damagedGzip();
}
