export const SPACE = 0x20;
export const TAB = 0x09;

export const textOf = (bytes: Uint8Array, from: number, to: number): string =>
  Buffer.from(bytes.buffer, bytes.byteOffset + from, to - from).toString("latin1");

export const isBlankByte = (byte: number | undefined): boolean => byte === SPACE || byte === TAB;

export function isBlank(bytes: Uint8Array, from: number, to: number): boolean {
  for (let at = from; at < to; at++) if (!isBlankByte(bytes[at])) return false;
  return true;
}
