import { concatBytes, latin1Text, utf8Bytes, utf8Text } from "../../text/bytes.js";
import type { ByteChunks } from "../archive/chunks.js";
import { LogError } from "../log-error.js";

export type Encoding = "utf-8" | "utf-16le" | "utf-16be" | "latin-1";

const SNIFF_BYTES = 4096;

/**
 * The encoding of a log, from its first bytes: a byte order mark, else the zero bytes that UTF-16 leaves beside
 * every ASCII character, else UTF-8 when the bytes are valid UTF-8, else Latin-1.
 *
 * @throws LogError `log-not-text` for anything that is not text
 */
export function detectEncoding(head: Uint8Array): Encoding {
  if (head[0] === 0xff && head[1] === 0xfe) return "utf-16le";
  if (head[0] === 0xfe && head[1] === 0xff) return "utf-16be";
  const sniffed = head.subarray(0, SNIFF_BYTES);
  const zeros = [0, 0];
  for (let at = 0; at < sniffed.length; at++) if (sniffed[at] === 0) zeros[at % 2] = (zeros[at % 2] ?? 0) + 1;
  const [even = 0, odd = 0] = zeros;
  const pairs = sniffed.length / 2;
  if (odd > 0.8 * pairs && even === 0) return "utf-16le";
  if (even > 0.8 * pairs && odd === 0) return "utf-16be";
  if (
    startsWith(sniffed, "PK\u0003\u0004") ||
    startsWith(sniffed, "%PDF") ||
    controlShare(withoutZerosAtEnd(sniffed)) > 0.05
  ) {
    throw notText(sniffed);
  }
  return isUtf8(head) ? "utf-8" : "latin-1";
}

/** The log's text as UTF-8 or Latin-1 bytes: UTF-16 is converted, byte order marks are dropped. */
export async function* textBytes(chunks: ByteChunks): AsyncGenerator<Uint8Array> {
  let decoder: InstanceType<typeof TextDecoder> | null | undefined;
  for await (const chunk of withWholeHead(chunks)) {
    if (decoder === undefined) {
      const encoding = detectEncoding(chunk);
      decoder = encoding.startsWith("utf-16") ? new TextDecoder(encoding) : null;
      yield decoder ? utf8Bytes(decoder.decode(chunk, { stream: true })) : withoutMark(chunk);
    } else {
      yield decoder ? utf8Bytes(decoder.decode(chunk, { stream: true })) : chunk;
    }
  }
}

/** The chunks, the first of which holds what is looked at to tell the encoding, however they were cut. */
async function* withWholeHead(chunks: ByteChunks): AsyncGenerator<Uint8Array> {
  let head: Uint8Array[] | null = [];
  let headBytes = 0;
  for await (const chunk of chunks) {
    if (head === null) {
      yield chunk;
      continue;
    }
    head.push(chunk);
    headBytes += chunk.length;
    if (headBytes < SNIFF_BYTES) continue;
    yield concatBytes(head);
    head = null;
  }
  if (head !== null && headBytes > 0) yield concatBytes(head);
}

/** Reads stretches of the bytes as strings: in UTF-8 where the whole is valid UTF-8, else in Latin-1. */
export function textOfBytes(bytes: Uint8Array): (from: number, to: number) => string {
  const decode = isUtf8(bytes) ? utf8Text : latin1Text;
  return (from, to) => decode(bytes.subarray(from, to));
}

function isUtf8(bytes: Uint8Array): boolean {
  // A multi-byte character may be cut at the end of what is looked at: at most three bytes of it.
  const decoder = new TextDecoder("utf-8", { fatal: true });
  try {
    decoder.decode(bytes, { stream: true });
    return true;
  } catch (error) {
    if ((error as Error).name === "TypeError") return false;
    throw error;
  }
}

function withoutMark(chunk: Uint8Array): Uint8Array {
  return chunk[0] === 0xef && chunk[1] === 0xbb && chunk[2] === 0xbf ? chunk.subarray(3) : chunk;
}

function startsWith(bytes: Uint8Array, text: string): boolean {
  return latin1Text(bytes.subarray(0, text.length)) === text;
}

/** A file that was given its room before it was written ends in zeros. */
function withoutZerosAtEnd(bytes: Uint8Array): Uint8Array {
  let end = bytes.length;
  while (end > 0 && bytes[end - 1] === 0) end--;
  return bytes.subarray(0, end);
}

function controlShare(bytes: Uint8Array): number {
  let controls = 0;
  for (const byte of bytes) if (byte < 0x20 && byte !== 0x09 && byte !== 0x0a && byte !== 0x0d) controls++;
  return bytes.length === 0 ? 0 : controls / bytes.length;
}

function notText(head: Uint8Array): LogError {
  const seen = startsWith(head, "PK")
    ? "a zip archive or a spreadsheet's own file"
    : startsWith(head, "%PDF")
      ? "a PDF document"
      : "binary data";
  return new LogError(
    "log-not-text",
    `The log is ${seen}, not text. Export the measurement as delimited text (for example comma-separated values) and upload that; gzip is accepted.`,
  );
}
