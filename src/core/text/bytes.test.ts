import { describe, expect, test } from "@jest/globals";
import fc from "fast-check";
import { concatBytes, latin1Bytes, latin1Text, utf8Bytes, utf8Text } from "./bytes.js";

// Outside source: Node's Buffer, which the core does without because browsers have none.
describe("bytes and texts are those of Node's Buffer", () => {
  const someBytes = fc.uint8Array({ maxLength: 20_000, size: "max" });
  const someText = fc.string({ unit: "binary", maxLength: 200 });

  test("for any bytes as Latin-1 and as UTF-8", () => {
    fc.assert(
      fc.property(someBytes, (bytes) => {
        expect(latin1Text(bytes)).toBe(Buffer.from(bytes).toString("latin1"));
        expect(utf8Text(bytes)).toBe(Buffer.from(bytes).toString("utf8"));
      }),
      { numRuns: 50 },
    );
  });

  test("for any text, lone surrogates among it", () => {
    fc.assert(
      fc.property(someText, (text) => {
        expect(Buffer.from(utf8Bytes(text)).equals(Buffer.from(text))).toBe(true);
        expect(Buffer.from(latin1Bytes(text)).equals(Buffer.from(text, "latin1"))).toBe(true);
      }),
    );
  });

  test("for a byte order mark, which stays", () => {
    const marked = Buffer.from("\ufeffa");
    expect(utf8Text(marked)).toBe("\ufeffa");
    expect(utf8Text(marked)).toBe(marked.toString("utf8"));
  });

  test("for several arrays put together", () => {
    fc.assert(
      fc.property(fc.array(fc.uint8Array()), (parts) => {
        expect(Buffer.from(concatBytes(parts)).equals(Buffer.concat(parts))).toBe(true);
      }),
    );
  });
});
