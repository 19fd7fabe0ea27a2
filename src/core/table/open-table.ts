import { concatBytes } from "../text/bytes.js";
import type { ByteChunks } from "./archive/chunks.js";
import { isJson, openJson } from "./json/json-table.js";
import { type HeadRecord, recordsOf } from "./layout/head-records.js";
import { findLayout, type Layout } from "./layout/layout.js";
import { findLineForm } from "./layout/line-forms.js";
import { emptyLog } from "./log-error.js";
import { RowReader } from "./rows/rows.js";
import type { OpenTable } from "./table.js";
import { mapLines } from "./text/map-lines.js";
import { textBytes } from "./text/text.js";

/** Bytes looked at to find the layout. */
const HEAD_BYTES = 1 << 18;

interface Opened {
  readonly head: Uint8Array;
  readonly whole: boolean;
  readonly rest: AsyncIterator<Uint8Array>;
}

/**
 * Opens the table in a text: delimited, lines of labels and values, or JSON.
 *
 * @throws LogError when there is none in it
 */
export async function openTable(chunks: ByteChunks): Promise<OpenTable> {
  const text = await readHead(textBytes(chunks)[Symbol.asyncIterator]());
  if (isJson(text.head)) return openJson(text.head, text.rest);
  const records = firstRecords(text);
  const form = findLineForm(records.map((record) => record.text));
  if (!form) return openDelimited(text, findLayout(records));
  const rows = await readHead(mapLines(from(text), form.toRow)[Symbol.asyncIterator]());
  return openDelimited(rows, findLayout(firstRecords(rows), form.names));
}

const firstRecords = ({ head }: Opened): HeadRecord[] => recordsOf(head.subarray(0, HEAD_BYTES));

function openDelimited({ head, whole, rest }: Opened, layout: Layout): OpenTable {
  return {
    head: layout,
    read: async (wanted, hasTime) => {
      const reader = new RowReader(layout, wanted, whole ? head.length : null, hasTime);
      reader.push(head.subarray(layout.dataOffset));
      for (let next = await rest.next(); !next.done; next = await rest.next()) reader.push(next.value);
      return reader.finish();
    },
  };
}

async function* from({ head, rest }: Opened): AsyncGenerator<Uint8Array> {
  yield head;
  for (let next = await rest.next(); !next.done; next = await rest.next()) yield next.value;
}

async function readHead(text: AsyncIterator<Uint8Array>): Promise<Opened> {
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
  const head = only && parts.length === 1 ? only : concatBytes(parts);
  if (head.every((byte) => byte <= 0x20)) throw emptyLog();
  return { head, whole, rest: text };
}
