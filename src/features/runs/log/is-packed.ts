/** How many bytes tell. */
export const MAGIC_BYTES = 4;

/** First bytes of gzip (RFC 1952, 2.3.1), of ZIP and so of spreadsheets (APPNOTE 4.3.7), and of Zstandard (RFC 8878, 3.1.1). */
const PACKED = ["1f8b", "504b0304", "28b52ffd"];

/** Whether a log that begins so is compressed already. */
export function isPacked(start: Uint8Array): boolean {
  const hexadecimal = Buffer.from(start).toString("hex");
  return PACKED.some((magic) => hexadecimal.startsWith(magic));
}
