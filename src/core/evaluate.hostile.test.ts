import { describe, expect, test } from "@jest/globals";
import { evaluateText } from "../../test/support/evaluated.js";
import { LogError } from "./table/log-error.js";

const HEAD = "Time [s],Voltage [V],Current [A]\n0,16.8,0\n1,16.8,0\n2,16.8,0\n3,16.8,0\n";
const MEBIBYTES = 4;
const filledWith = (text: string) => Buffer.concat([Buffer.from(HEAD), Buffer.alloc(MEBIBYTES * 2 ** 20, text)]);

// Each would take hours if any step took more than its share for each byte.
describe("4 MiB of nonsense behind a good head are refused at once", () => {
  test.each([
    ["blanks", " "],
    ["tabs", "\t"],
    ["quotes", '"'],
    ["opened quotes in every line", '"x\n'],
    ["lines that are no rows", "x\n"],
    ["commas", ","],
    ["carriage returns and quotes", '"\r'],
    ["digits", "7"],
    ["minus signs in lines", "-\n"],
  ])("%s", async (_, text) => {
    await expect(evaluateText(filledWith(text))).rejects.toBeInstanceOf(LogError);
  });
});

test("the same at the very beginning, without a head, is refused at once", async () => {
  for (const text of [" ", '"', "x\n", "1;", "1,5;", "\r", "[", "{"]) {
    await expect(evaluateText(Buffer.alloc(2 ** 20, text))).rejects.toBeInstanceOf(LogError);
  }
});
