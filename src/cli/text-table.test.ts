import { expect, test } from "@jest/globals";
import { parse } from "csv-parse/sync";
import { csvTable, markdownTable, textTable } from "./text-table.js";

const HEADER = ["pack", "W"];
const ROWS = [
  ['Maker "A", Pack | 1', "1234"],
  ["B\nC", "5"],
];

test("columns are as wide as their widest cell, without spaces at the end", () => {
  expect(textTable(HEADER, [["Sprint", "1"]])).toBe("pack    W\nSprint  1");
});

test("comma-separated values are read back by another reader (csv-parse, RFC 4180)", () => {
  expect(parse(csvTable(HEADER, ROWS))).toEqual([HEADER, ...ROWS]);
});

test("a pipe does not end a cell of Markdown", () => {
  expect(markdownTable(HEADER, [["a | b", "1"]])).toBe("| pack | W |\n|---|---|\n| a \\| b | 1 |");
});
