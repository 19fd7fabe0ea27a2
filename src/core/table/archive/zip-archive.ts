import { type UnzipFileInfo, unzipSync } from "fflate";
import { concatBytes } from "../../text/bytes.js";
import { LogError } from "../log-error.js";
import { MIB } from "./chunks.js";

/** First bytes of a ZIP archive (APPNOTE 4.3.7), as of a spreadsheet's own file. */
export const ZIP_MAGIC = [0x50, 0x4b, 0x03, 0x04] as const;

/** An archive is read whole, so it may be no larger than this, packed or unpacked. */
const MAX_PACKED_BYTES = 64 * MIB;
const MAX_UNPACKED_BYTES = 256 * MIB;
const MAX_FILES = 10_000;
/** What programs put into archives beside what was packed. */
const BESIDE = /(^|\/)(__MACOSX\/|\.|Thumbs\.db$|desktop\.ini$)|\/$/i;
const READABLE = /\.(csv|tsv|txt|log|dat|asc|json|jsonl|ndjson|xlsx|xlsm|gz|prn|tab|text|out)$/i;

export const isZip = (head: Uint8Array): boolean => ZIP_MAGIC.every((byte, at) => head[at] === byte);

/** Reads an archive whole. @throws LogError `log-too-large` past the limit */
export async function wholeOf(chunks: AsyncIterable<Uint8Array>): Promise<Uint8Array> {
  const parts: Uint8Array[] = [];
  let size = 0;
  for await (const chunk of chunks) {
    parts.push(chunk);
    size += chunk.length;
    if (size > MAX_PACKED_BYTES) throw tooLarge(`more than ${MAX_PACKED_BYTES / MIB} MiB`);
  }
  return concatBytes(parts);
}

/** The names of the files in an archive, in its order. @throws LogError `log-damaged` when it is broken */
export function filesIn(archive: Uint8Array): readonly UnzipFileInfo[] {
  const files: UnzipFileInfo[] = [];
  unzipped(archive, (file) => {
    files.push(file);
    return false;
  });
  if (files.length > MAX_FILES) throw tooLarge(`more than ${MAX_FILES} files`);
  return files;
}

/** The files that are named, unpacked. @throws LogError `log-too-large`, `log-damaged` */
export function unpackFiles(archive: Uint8Array, names: readonly string[]): Readonly<Record<string, Uint8Array>> {
  let size = 0;
  return unzipped(archive, ({ name, originalSize }) => {
    if (!names.includes(name)) return false;
    size += originalSize;
    if (size > MAX_UNPACKED_BYTES) throw tooLarge(`more than ${MAX_UNPACKED_BYTES / MIB} MiB after unpacking`);
    return true;
  });
}

/**
 * The one file in an archive that may be a log.
 *
 * @throws LogError `log-not-text` when there is none, or several
 */
export function onlyLogIn(archive: Uint8Array): { readonly name: string; readonly bytes: Uint8Array } {
  const packed = filesIn(archive).filter(({ name }) => !BESIDE.test(name));
  const readable = packed.filter(({ name }) => READABLE.test(name));
  const [only, ...others] = readable.length > 0 ? readable : packed;
  if (!only || others.length > 0) {
    const names = (readable.length > 0 ? readable : packed).map(({ name }) => `"${name.slice(0, 80)}"`);
    throw new LogError(
      "log-not-text",
      names.length === 0
        ? "The log is a ZIP archive without a file in it. Pack the table of the measurement and send it again, or send it unpacked."
        : `The log is a ZIP archive with ${names.length} files: ${names.slice(0, 10).join(", ")}. Which one is the run is not known. Send that file alone, packed or not.`,
    );
  }
  return { name: only.name, bytes: unpackFiles(archive, [only.name])[only.name] as Uint8Array };
}

function unzipped(archive: Uint8Array, filter: (file: UnzipFileInfo) => boolean): Record<string, Uint8Array> {
  try {
    return unzipSync(archive, { filter });
  } catch (error) {
    if (error instanceof LogError || !isFlateError(error)) throw error;
    throw new LogError(
      "log-damaged",
      "The ZIP archive or spreadsheet file is broken, was cut short or is encrypted, so nothing in it can be trusted. Save or pack it again and send the whole file.",
    );
  }
}

/** What the library throws of data that are no archive: an error with a number as its code, or a read past their end. */
function isFlateError(error: unknown): boolean {
  if (typeof error !== "object" || error === null || !("name" in error)) return false;
  return (
    error.name === "RangeError" || error.name === "TypeError" || ("code" in error && typeof error.code === "number")
  );
}

const tooLarge = (what: string): LogError =>
  new LogError(
    "log-too-large",
    `The log is a ZIP archive or a spreadsheet's file of ${what}. Send a log of this size as delimited text, packed with gzip or not.`,
  );
