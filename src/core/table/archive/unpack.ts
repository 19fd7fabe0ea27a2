import { concatBytes } from "../../text/bytes.js";
import { LogError } from "../log-error.js";
import { type ByteChunks, chunksOf, MIB } from "./chunks.js";
import { gunzip } from "./gunzip.js";
import { isWorkbook, workbookText } from "./spreadsheet.js";
import { isZip, onlyLogIn, wholeOf, ZIP_MAGIC } from "./zip-archive.js";

/** First bytes of a gzip file (RFC 1952). */
export const GZIP_MAGIC = [0x1f, 0x8b] as const;

/**
 * The log's text bytes, unpacked when it is gzip (RFC 1952) or a ZIP archive with one table, a spreadsheet's as text, else as they are.
 *
 * @param chunks the log as uploaded, in order
 * @param limitBytes largest size after unpacking; reading stops as soon as it is passed
 * @throws LogError `log-too-large` past the limit, `log-damaged` when gzip data are broken or cut short
 */
export async function* unpack(chunks: ByteChunks, limitBytes: number): AsyncGenerator<Uint8Array> {
  let total = 0;
  for await (const chunk of await gunzipWhenPacked(chunks)) {
    total += chunk.length;
    if (total > limitBytes) {
      throw new LogError(
        "log-too-large",
        `The log is larger than ${limitBytes / MIB} MiB after unpacking. Lower the logging rate or cut the log to the discharge.`,
      );
    }
    yield chunk;
  }
}

async function gunzipWhenPacked(chunks: ByteChunks): Promise<ByteChunks> {
  const { head, all } = await peek(chunks);
  if (isGzip(head)) return gunzip(all);
  return isZip(head) ? unzip(await wholeOf(all)) : all;
}

const isGzip = (head: Uint8Array): boolean => GZIP_MAGIC.every((byte, at) => head[at] === byte);

/** The one table in an archive, which may be a spreadsheet, packed into another or not. */
async function unzip(archive: Uint8Array): Promise<ByteChunks> {
  if (isWorkbook(archive)) return chunksOf(await workbookText(archive));
  const { bytes } = onlyLogIn(archive);
  if (isZip(bytes)) return isWorkbook(bytes) ? chunksOf(await workbookText(bytes)) : chunksOf(onlyLogIn(bytes).bytes);
  return isGzip(bytes) ? gunzip(chunksOf(bytes)) : chunksOf(bytes);
}

async function peek(chunks: ByteChunks): Promise<{ head: Uint8Array; all: AsyncGenerator<Uint8Array> }> {
  const iterator =
    Symbol.asyncIterator in chunks
      ? chunks[Symbol.asyncIterator]()
      : (chunks as Iterable<Uint8Array>)[Symbol.iterator]();
  let head: Uint8Array = new Uint8Array(0);
  let ended = false;
  while (head.length < ZIP_MAGIC.length && !ended) {
    const next = await iterator.next();
    if (next.done) ended = true;
    else head = head.length === 0 ? next.value : concatBytes([head, next.value]);
  }
  async function* all() {
    if (head.length > 0) yield head;
    while (!ended) {
      const next = await iterator.next();
      if (next.done) return;
      yield next.value;
    }
  }
  return { head, all: all() };
}
