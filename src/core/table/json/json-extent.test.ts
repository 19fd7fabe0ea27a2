import { expect, it } from "@jest/globals";
import { excessOf } from "./json-extent.js";

const excess = (text: string) => excessOf(Buffer.from(text));

it("lets a table of columns or records be", () => {
  expect(excess('{"columns":[{"name":"t","unit":"s","values":[0,1]}]}')).toBeNull();
  expect(excess('[{"t":0},{"t":1}]')).toBeNull();
});

it("finds the first bracket that stands too deep", () => {
  expect(excess(`${"[".repeat(16)}1${"]".repeat(16)}`)).toBeNull();
  expect(excess("[".repeat(17))).toEqual({ of: "16 levels", at: 16 });
});

it("takes what stands in a text for text, also behind an escaped quote", () => {
  expect(excess(`["\\"${"[".repeat(20)}"]`)).toBeNull();
  expect(excess(`["\\\\",${"[".repeat(20)}`)).toEqual({ of: "16 levels", at: 21 });
});

it("finds too many records, values and names", () => {
  expect(excess(`[${"{},".repeat(800_000)}`)).toEqual({ of: "800000 records", at: 2_399_998 });
  expect(excess(`[${"1,".repeat(4_000_001)}`)).toMatchObject({ of: "4000000 values" });
  const names = Array.from({ length: 10_001 }, (_, i) => `"${i}":1`);
  expect(excess(`{${names.slice(1).join(",")}}`)).toBeNull();
  expect(excess(`{${names.join(",")}}`)).toMatchObject({ of: "10000 names" });
});
