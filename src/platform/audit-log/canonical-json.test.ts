import { expect, it } from "@jest/globals";
import canonicalize from "canonicalize";
import fc from "fast-check";
import { canonicalJson } from "./canonical-json.js";

it("is the canonical JSON that the RFC shows", () => {
  // RFC 8785 (JSON Canonicalization Scheme), 3.2.2: the numbers of its example.
  const numbers = "[333333333.33333329, 1E30, 4.50, 2e-3, 0.000000000000000000000000001]";
  expect(canonicalJson(JSON.parse(numbers))).toBe("[333333333.3333333,1e+30,4.5,0.002,1e-27]");
  // 3.2.3: names are sorted by their UTF-16 code units, in which U+1F600 comes before U+FB33.
  expect(canonicalJson({ "\ufb33": 1, "\ud83d\ude00": 2, "\r": 3 })).toBe('{"\\r":3,"\ud83d\ude00":2,"\ufb33":1}');
});

it("is the same as another implementation gives, of any data that JSON has", () => {
  const named = fc.dictionary(fc.oneof(fc.nat(20).map(String), fc.string({ unit: "binary" })), fc.jsonValue());
  fc.assert(
    fc.property(fc.oneof(fc.jsonValue(), named), (value) => {
      expect(canonicalJson([value])).toBe(canonicalize([value]));
    }),
    { numRuns: 1_000, seed: 8785 },
  );
});

it("leaves out members without a value, as JSON does", () => {
  expect(canonicalJson({ b: undefined, a: { c: undefined, d: null } })).toBe('{"a":{"d":null}}');
});

it.each([[Number.NaN], [Number.NEGATIVE_INFINITY], [1n]])("is not made of %p", (value) => {
  expect(() => canonicalJson([value])).toThrow("Received type");
});
