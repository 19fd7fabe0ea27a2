import { describe, expect, test } from "@jest/globals";
import { parse } from "csv-parse/sync";
import { csvOf } from "./csv.js";
import { markdownTable, markdownText } from "./markdown.js";

/** Names as a stranger may type them. */
const HOSTILE = [
  '=HYPERLINK("http://a.example","x")',
  "+1+1",
  "-2+3",
  "@SUM(A1)",
  "  =1",
  'a "quoted", name',
  "one\r\ntwo",
  "a|b",
  "<script>alert(1)</script>",
  "[x](http://a.example)",
  "**bold** _it_ `code`",
  "\u202eevil\u202c",
  "nul\u0000l\u0007",
  "\\| end",
  "www.a.example",
  "@someone",
];

describe("CSV", () => {
  // RFC 4180; read by csv-parse, which shares no code with the writer.
  test("comes back field by field, numbers to the last bit", () => {
    const rows = [
      ["Halden Cells", 0.1 + 0.2, null],
      ['a "quoted", name', -1e-7, "b"],
    ];
    const text = csvOf(["name", "value", "note"], rows);
    expect(text.endsWith("\r\n")).toBe(true);
    expect(parse(text, { columns: true })).toEqual([
      { name: "Halden Cells", value: String(0.1 + 0.2), note: "" },
      { name: 'a "quoted", name', value: "-1e-7", note: "b" },
    ]);
  });

  test.each(HOSTILE)("holds %j as one field that no spreadsheet computes", (name) => {
    const rows: string[][] = parse(csvOf(["name", "n"], [[name, 1]]));
    expect(rows.length).toBe(2);
    expect(rows[1]?.length).toBe(2);
    expect(rows[1]?.[0]).not.toMatch(/^\s*[=+\-@\t\r|]/);
    expect(rows[1]?.[0]).not.toMatch(/[\p{Cc}\p{Cf}]/u);
  });

  test("keeps what a negative number is", () => {
    expect(csvOf(["n"], [[-5.25]])).toBe("n\r\n-5.25\r\n");
  });
});

// CommonMark 0.31, 2.4 and 6.2 to 6.6; GitHub Flavored Markdown, 4.10.
describe("a Markdown table", () => {
  test.each(HOSTILE)("holds %j as text in one cell", (name) => {
    const [, , row = ""] = markdownTable(["", "n"], [[markdownText(name), "1"]]).split("\n");
    expect(row.split(/(?<!\\)(?:\\\\)*\|/).length).toBe(4);
    expect(row).not.toMatch(/(?<!\\)[`*_[\]<>]/);
    expect(row).not.toMatch(/:\/\/|[\p{Cc}\p{Cf}@]/u);
  });

  test("leaves what is plain as it is", () => {
    for (const name of ["Halden Cells Sprint 4S 5000", "45.0 ± 0.3", "Überzelle (4S1P)"])
      expect(markdownText(name)).toBe(name);
  });

  test("has a rule of its columns, numbers to the right", () => {
    expect(markdownTable(["", "A"], [["Power [W]", "5"]])).toBe("|  | A |\n| --- | ---: |\n| Power [W] | 5 |");
  });
});
