import { expect, test } from "@jest/globals";
import { textTable } from "./text-table.js";

test("columns are as wide as their widest cell, without spaces at the end", () => {
  expect(textTable(["pack", "W"], [["Sprint", "1"]])).toBe("pack    W\nSprint  1");
});
