import { describe, expect, test } from "@jest/globals";
import { LogError } from "../log-error.js";
import { detectEncoding, textBytes, textOfBytes } from "./text.js";

const TEXT = "Zeit [s];Spannung [V];Temp [°C]\n0;16,8;21\n";
const utf16be = (text: string) => Buffer.from(text, "utf16le").swap16();

async function decoded(bytes: Uint8Array, chunkBytes = bytes.length): Promise<string> {
  const chunks = Array.from({ length: Math.ceil(bytes.length / chunkBytes) }, (_, i) =>
    bytes.subarray(i * chunkBytes, (i + 1) * chunkBytes),
  );
  const parts: Uint8Array[] = [];
  for await (const part of textBytes(chunks)) parts.push(part);
  const whole = Buffer.concat(parts);
  return textOfBytes(whole)(0, whole.length);
}

describe("a log's text is the same", () => {
  const written: [string, Buffer][] = [
    ["utf-8", Buffer.from(TEXT)],
    ["utf-8 with a byte order mark", Buffer.from(`\ufeff${TEXT}`)],
    ["utf-16le", Buffer.from(TEXT, "utf16le")],
    ["utf-16le with a byte order mark", Buffer.from(`\ufeff${TEXT}`, "utf16le")],
    ["utf-16be", utf16be(TEXT)],
    ["utf-16be with a byte order mark", utf16be(`\ufeff${TEXT}`)],
    ["latin-1", Buffer.from(TEXT, "latin1")],
  ];

  test.each(written)("in %s", async (name, bytes) => {
    expect(detectEncoding(bytes)).toBe(name.split(" ")[0]);
    expect(await decoded(bytes)).toBe(TEXT);
  });

  test.each(written)("in %s, in chunks of every size", async (_, bytes) => {
    for (let size = 1; size < bytes.length; size++) expect(await decoded(bytes, size)).toBe(TEXT);
  });
});

test("a multi-byte character cut at the end of what is looked at does not make it Latin-1", () => {
  expect(detectEncoding(Buffer.from("Temp [°").subarray(0, 7))).toBe("utf-8");
});

describe("what is no text is refused, and named", () => {
  test.each([
    ["a zip archive or a spreadsheet's own file", Buffer.from("PK\u0003\u0004\u0014\u0000\u0006\u0000", "latin1")],
    ["a PDF document", Buffer.from("%PDF-1.7\n1 0 obj\n")],
    ["binary data", Buffer.from(Array.from({ length: 400 }, (_, i) => (i * 37) % 256))],
    ["binary data", Buffer.from("\u0001\u0002\u0003\u0004 mostly controls")],
  ])("%s", (name, bytes) => {
    expect(() => detectEncoding(bytes)).toThrow(LogError);
    expect(() => detectEncoding(bytes)).toThrow(name);
  });

  test("in chunks of two bytes too", async () => {
    const zip = Buffer.from("PK\u0003\u0004\u0014\u0000\u0006\u0000", "latin1");
    await expect(decoded(zip, 2)).rejects.toMatchObject({ code: "log-not-text" });
  });
});
