import { describe, expect, test } from "@jest/globals";
import fc from "fast-check";
import { splitFields } from "./fields.js";

// RFC 4180, 2, rules 5 to 7 (read through secondary sources that quote it).
describe("the fields of a line after RFC 4180", () => {
  test.each([
    ["aaa,bbb,ccc", ["aaa", "bbb", "ccc"]],
    ['"aaa","bbb","ccc"', ["aaa", "bbb", "ccc"]],
    ['"aaa","b""bb","ccc"', ["aaa", 'b"bb', "ccc"]],
    ['"12,5","3,1"', ["12,5", "3,1"]],
    ["a, b ,c", ["a", " b ", "c"]],
    ["a,,c,", ["a", "", "c", ""]],
    ['"",x', ["", "x"]],
    ["", [""]],
  ])("%s", (line, fields) => expect(splitFields(line, ",")).toEqual(fields));

  test("come back for any texts without line ends, quoted and with their quotes doubled", () => {
    const texts = fc.array(
      fc.string().filter((text) => !/[\r\n]/.test(text)),
      { minLength: 1, maxLength: 6 },
    );
    fc.assert(
      fc.property(texts, fc.constantFrom(",", ";", "\t", "|"), (fields, delimiter) => {
        const line = fields.map((field) => `"${field.replaceAll('"', '""')}"`).join(delimiter);
        expect(splitFields(line, delimiter)).toEqual(fields);
      }),
    );
  });
});

test("runs of spaces and tabs are one delimiter, and those around a line are none", () => {
  expect(splitFields("  1.0 \t 2.0   3.0 ", " ")).toEqual(["1.0", "2.0", "3.0"]);
  expect(splitFields("   ", " ")).toEqual([]);
});
