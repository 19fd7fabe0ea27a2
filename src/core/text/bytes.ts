const UTF_8 = new TextEncoder();
/** What `String.fromCharCode` takes at a time. */
const SLICE = 8192;

/** Arrays of bytes, one after the other, as one. */
export function concatBytes(parts: readonly Uint8Array[]): Uint8Array {
  const whole = new Uint8Array(parts.reduce((size, { length }) => size + length, 0));
  let at = 0;
  for (const part of parts) {
    whole.set(part, at);
    at += part.length;
  }
  return whole;
}

/** The text whose characters U+0000 to U+00FF are the bytes (ISO/IEC 8859-1 with its controls). */
export function latin1Text(bytes: Uint8Array): string {
  let text = "";
  for (let at = 0; at < bytes.length; at += SLICE) {
    text += String.fromCharCode.apply(null, bytes.subarray(at, at + SLICE) as unknown as number[]);
  }
  return text;
}

/** The low byte of each UTF-16 code unit of a text: of one in Latin-1, its bytes. */
export function latin1Bytes(text: string): Uint8Array {
  const bytes = new Uint8Array(text.length);
  for (let at = 0; at < text.length; at++) bytes[at] = text.charCodeAt(at);
  return bytes;
}

/** The text that bytes are in UTF-8 (RFC 3629), a byte order mark included; U+FFFD where they are none. */
export const utf8Text = (bytes: Uint8Array): string => new TextDecoder("utf-8", { ignoreBOM: true }).decode(bytes);

/** A text in UTF-8 (RFC 3629). */
export const utf8Bytes = (text: string): Uint8Array => UTF_8.encode(text);
