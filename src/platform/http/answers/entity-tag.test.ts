import { expect, it } from "@jest/globals";
import { matchesEntityTag } from "./entity-tag.js";

// RFC 9110, 8.8.3.2: the table of weak comparison.
it.each([
  ['W/"1"', 'W/"1"', true],
  ['W/"1"', 'W/"2"', false],
  ['W/"1"', '"1"', true],
  ['"1"', '"1"', true],
])("compares %s and %s weakly", (first, second, equal) => {
  expect(matchesEntityTag(first, second)).toBe(equal);
});

// RFC 9110, 13.1.2: a list of tags, or the star that stands for any.
it.each([
  ["*", true],
  ['"a", W/"1" , "b"', true],
  ['"a,1"', false],
  ["1", false],
  ["", false],
])("reads the field %s", (field, matches) => {
  expect(matchesEntityTag(field, 'W/"1"')).toBe(matches);
});
