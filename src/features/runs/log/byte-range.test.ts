import { describe, expect, it } from "@jest/globals";
import { Problem } from "../../../platform/problems/problem.js";
import { type RangeFields, rangeAsked } from "./byte-range.js";

const TAG = '"of-the-bytes"';
const asked = (fields: RangeFields, bytes = 10_000) => rangeAsked(fields, bytes, TAG);

describe("the range that is asked for", () => {
  // The examples of RFC 9110, 14.1.2, of a representation of 10,000 bytes.
  it.each<[string, { start: number; end: number } | null]>([
    ["bytes=0-499", { start: 0, end: 499 }],
    ["bytes=500-999", { start: 500, end: 999 }],
    ["bytes=-500", { start: 9_500, end: 9_999 }],
    ["bytes=9500-", { start: 9_500, end: 9_999 }],
    ["bytes=0-0,-1", null],
    ["bytes= 0-999, 4500-5499, -1000", null],
    ["bytes=500-600,601-999", { start: 500, end: 999 }],
    ["bytes=500-700,601-999", { start: 500, end: 999 }],
  ])("%s", (range, expected) => {
    expect(asked({ range })).toEqual(expected);
  });

  it.each(["bytes=", "bytes=9-1", "bytes=a-b", "bytes", "lines=0-1", "bytes=0-1,x", `bytes=${"0-1,".repeat(100)}0-1`])(
    "is all of it for %s",
    (range) => {
      expect(asked({ range })).toBeNull();
    },
  );

  it("ends with the last byte (RFC 9110, 14.1.2)", () => {
    expect(asked({ range: "bytes=9000-20000" })).toEqual({ start: 9_000, end: 9_999 });
    expect(asked({ range: "bytes=-20000" })).toEqual({ start: 0, end: 9_999 });
  });

  it.each(["bytes=10000-", "bytes=10000-10001", "bytes=-0"])("cannot be %s", (range) => {
    expect(() => asked({ range })).toThrow(Problem);
  });

  // RFC 9110, 13.1.5: by strong comparison.
  it.each([
    [TAG, true],
    ['"of-other-bytes"', false],
    [`W/${TAG}`, false],
    ["Thu, 26 Nov 2026 20:00:00 GMT", false],
  ])("counts only while If-Range %s names the bytes", (ifRange, counts) => {
    expect(asked({ range: "bytes=0-0", "if-range": ifRange })).toEqual(counts ? { start: 0, end: 0 } : null);
  });
});
