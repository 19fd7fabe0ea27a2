import { expect, it } from "@jest/globals";
import fc from "fast-check";
import { trigramSimilarity } from "./trigrams.js";

// PostgreSQL documentation, appendix F, "pg_trgm": the trigrams of "cat" are "  c", " ca", "cat" and "at ".
it("counts the trigrams that a word and its beginning share", () => {
  expect(trigramSimilarity("cat", "ca")).toBeCloseTo(2 / 5, 12);
  expect(trigramSimilarity("cat", "dog")).toBe(0);
});

it("is 1 for a text and itself, and the same both ways", () => {
  const text = fc.stringMatching(/^[a-z]{1,8}( [a-z]{1,8}){0,3}$/);
  fc.assert(
    fc.property(text, text, (a, b) => {
      expect(trigramSimilarity(a, a)).toBe(1);
      expect(trigramSimilarity(a, b)).toBe(trigramSimilarity(b, a));
    }),
  );
});
