import { expect, test } from "@jest/globals";
import { chargeLeftText } from "./charge-left.js";

test.each([
  [1, "100 %"],
  [0.9999, "over 99 %"],
  [0.995, "over 99 %"],
  [0.99, "99 %"],
  [0.985, "99 %"],
  [0.5, "50 %"],
  [0.01, "1 %"],
  [0.004, "under 1 %"],
  [0, "under 1 %"],
])("a share of %s is %s", (share, text) => expect(chargeLeftText(share)).toBe(text));

test("no share but the whole is 100 %, and none is 0 %", () => {
  for (let n = 0; n < 10_000; n++) expect(["100 %", "0 %"]).not.toContain(chargeLeftText(n / 10_000));
});
