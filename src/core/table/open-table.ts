import { isJson, openJson } from "./json-table.js";
import { findLayout } from "./layout.js";
import { LogError } from "./log-error.js";
import { RowReader } from "./rows.js";
import type { OpenTable } from "./table.js";
import { textBytes } from "./text.js";
import type { ByteChunks } from "./unpack.js";

/** Bytes looked at to find the layout. */
const HEAD_BYTES = 1 << 18;

/**
 * Opens the table in a text: delimited, or JSON.
 *
 * @throws LogError when there is none in it
 */
export async function openTable(chunks: ByteChunks): Promise<OpenTable> {
  const text = textBytes(chunks)[Symbol.asyncIterator]();
  const { head, whole } = await readHead(text);
  if (isJson(head)) return openJson(head, text);
  const layout = findLayout(head.subarray(0, HEAD_BYTES));
  return {
    head: layout,
    read: async (wanted) => {
      const reader = new RowReader(layout, wanted, whole ? head.length : null);
      reader.push(head.subarray(layout.dataOffset));
      for (let next = await text.next(); !next.done; next = await text.next()) reader.push(next.value);
      return reader.finish();
    },
  };
}

async function readHead(text: AsyncIterator<Uint8Array>): Promise<{ head: Uint8Array; whole: boolean }> {
  const parts: Uint8Array[] = [];
  let whole = false;
  for (let size = 0; size < HEAD_BYTES && !whole; ) {
    const next = await text.next();
    whole = next.done === true;
    if (next.done) break;
    parts.push(next.value);
    size += next.value.length;
  }
  const [only] = parts;
  const head = only && parts.length === 1 ? only : Buffer.concat(parts);
  if (head.every((byte) => byte <= 0x20)) {
    throw new LogError(
      "log-empty",
      "The log is empty. Upload the file that the logger wrote, with its header row and samples.",
    );
  }
  return { head, whole };
}
