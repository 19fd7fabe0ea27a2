import { latin1Text, utf8Text } from "../../text/bytes.js";
export const SPACE = 0x20;
export const TAB = 0x09;

export const textOf = (bytes: Uint8Array, from: number, to: number): string => latin1Text(bytes.subarray(from, to));

/** Characters of Windows-1252 in the place of controls of Latin-1: dashes and an apostrophe that stand in numbers. */
const WINDOWS: Readonly<Record<string, string>> = {
  "\x91": "\u2018",
  "\x92": "\u2019",
  "\x96": "\u2013",
  "\x97": "\u2014",
};

/** The text of a cell: UTF-8 where it is, else Windows-1252. */
export function cellTextOf(bytes: Uint8Array, from: number, to: number): string {
  const latin = textOf(bytes, from, to);
  if (!/[\x80-\xff]/.test(latin)) return latin;
  const text = utf8Text(bytes.subarray(from, to));
  if (!text.includes("\ufffd")) return text;
  return latin.replace(/[\x91\x92\x96\x97]/g, (character) => WINDOWS[character] ?? character);
}

export const isBlankByte = (byte: number | undefined): boolean => byte === SPACE || byte === TAB;

export function isBlank(bytes: Uint8Array, from: number, to: number): boolean {
  for (let at = from; at < to; at++) if (!isBlankByte(bytes[at])) return false;
  return true;
}
