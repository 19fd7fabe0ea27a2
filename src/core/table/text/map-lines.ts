import { concatBytes, utf8Bytes } from "../../text/bytes.js";
import { textOfBytes } from "./text.js";

const LF = 0x0a;
const CR = 0x0d;

/** The text with each of its lines rewritten; a line stays one line. Line ends become LF, a lone CR too. */
export async function* mapLines(
  chunks: AsyncIterable<Uint8Array>,
  rewrite: (line: string) => string,
): AsyncGenerator<Uint8Array> {
  let carry: Uint8Array = new Uint8Array(0);
  for await (const chunk of chunks) {
    const bytes = carry.length === 0 ? chunk : concatBytes([carry, chunk]);
    const end = Math.max(bytes.lastIndexOf(LF), bytes.subarray(0, -1).lastIndexOf(CR)) + 1;
    if (end > 0) yield rewritten(bytes.subarray(0, end), rewrite);
    carry = bytes.subarray(end);
  }
  if (carry.length > 0) yield rewritten(carry, rewrite);
}

function rewritten(bytes: Uint8Array, rewrite: (line: string) => string): Uint8Array {
  const lines = textOfBytes(bytes)(0, bytes.length).split(/\r\n|\n|\r/);
  return utf8Bytes(lines.map((line) => (line === "" ? "" : rewrite(line))).join("\n"));
}
