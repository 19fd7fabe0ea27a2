import { describe, expect, test } from "@jest/globals";
import { recordAt } from "./records.js";

function recordsOf(text: string): string[] {
  const bytes = Buffer.from(text);
  const found: string[] = [];
  for (let at = 0; at < bytes.length; ) {
    const record = recordAt(bytes, at, true);
    if (!record) break;
    found.push(bytes.toString("utf8", at, record.end));
    at = record.next;
  }
  return found;
}

// RFC 4180, 2, rules 1, 2 and 6 (read through secondary sources that quote it).
describe("a text is cut into records", () => {
  test.each([
    ["a\nb\r\nc\rd", ["a", "b", "c", "d"]],
    ['a,"b\nc",d\ne', ['a,"b\nc",d', "e"]],
    ['"a ""b""\r\nc"\nd', ['"a ""b""\r\nc"', "d"]],
    ["a\n\nb\n", ["a", "", "b"]],
    // Quotes that stand for inches, or are never closed, hold no line breaks.
    ['5" prop\nb', ['5" prop', "b"]],
    ['"open,1\n"t","u"\n', ['"open,1', '"t","u"']],
  ])("%j", (text, records) => expect(recordsOf(text)).toEqual(records));

  test("and waits for what may still follow", () => {
    for (const text of ["a,b", "a\r", '"a\nb', '"a"']) expect(recordAt(Buffer.from(text), 0, false)).toBeNull();
  });
});
