import { describe, expect, test } from "@jest/globals";
import { round, within } from "./rule.js";

describe("a number against its limits", () => {
  test.each([
    [5, { minimum: 5 }, true, ">= 5"],
    [4.999, { minimum: 5 }, false, ">= 5"],
    [5, { maximum: 5 }, true, "<= 5"],
    [5.001, { maximum: 5 }, false, "<= 5"],
    [0.7, { minimum: 0.7, maximum: 1.4 }, true, "0.7 to 1.4"],
    [1.5, { minimum: 0.7, maximum: 1.4 }, false, "0.7 to 1.4"],
    [Number.NaN, { minimum: 0 }, false, ">= 0"],
  ])("%d within %j is %p", (observed, limits, passes, limit) => {
    expect(within(observed, limits)).toEqual({ observed, passes, limit });
  });

  test("keeps the span that it was seen in", () => {
    expect(within(1, { minimum: 0 }, { fromS: 2, toS: 3 }).span).toEqual({ fromS: 2, toS: 3 });
  });
});

test.each([
  [13.2004, "13.2"],
  [0.00512349, "0.005123"],
  [123_456, "123500"],
  [-2, "-2"],
])("%d is shown to four significant digits", (value, text) => expect(round(value)).toBe(text));
