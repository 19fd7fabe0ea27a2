import { createHash } from "node:crypto";
import { describe, expect, test } from "@jest/globals";
import fc from "fast-check";
import { FINDINGS_DICTIONARY_1 } from "./findings-dictionary-1.js";
import { decodeFindings, encodeFindings, FINDINGS_ENCODING } from "./stored-findings.js";

const number = fc
  .double({ noNaN: true, noDefaultInfinity: true })
  .map((value) => value + 0)
  .filter((value) => !Object.is(value, -0));
const text = fc.oneof(
  fc.constantFrom("required", "pass", ">= 5", "The sampling rate is 20 Hz."),
  fc.string(),
  fc.string({ unit: "binary" }),
);
const finding = fc.record({
  position: fc.nat(),
  rule: text,
  severity: text,
  outcome: text,
  observed: fc.option(number),
  limit: text,
  unit: text,
  message: text,
  spanFromS: fc.option(number),
  spanToS: fc.option(number),
});
const ONE = {
  position: 0,
  rule: "sampling-rate",
  severity: "required",
  outcome: "pass",
  observed: 20.000000000001137,
  limit: ">= 5",
  unit: "Hz",
  message: "The sampling rate is 20 Hz. Required: >= 5 Hz.",
  spanFromS: null,
  spanToS: null,
} as const;

describe("stored findings", () => {
  test("come back as they were, numbers to the last bit", () => {
    fc.assert(
      fc.property(fc.array(finding, { maxLength: 60 }), (some) => {
        expect(decodeFindings(FINDINGS_ENCODING, encodeFindings(some))).toEqual(some);
      }),
      { numRuns: 300 },
    );
  });

  test("have no number that is none, as their columns have not (IEEE 754, 6)", () => {
    for (const observed of [Number.NaN, Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY]) {
      expect(() => encodeFindings([{ ...ONE, observed }])).toThrow(RangeError);
    }
  });

  test("of an unknown encoding, changed, or cut short, are refused", () => {
    const bytes = encodeFindings([ONE]);
    expect(() => decodeFindings("other", bytes)).toThrow("unknown encoding");
    for (let length = 0; length < bytes.length; length++) {
      expect(() => decodeFindings(FINDINGS_ENCODING, bytes.subarray(0, length))).toThrow();
    }
    let refused = 0;
    for (let bit = 0; bit < bytes.length * 8; bit++) {
      const damaged = Uint8Array.from(bytes);
      damaged[bit >> 3] = (damaged[bit >> 3] as number) ^ (1 << (bit & 7));
      try {
        expect(decodeFindings(FINDINGS_ENCODING, damaged)).toEqual([ONE]);
      } catch (error) {
        if (!(error as NodeJS.ErrnoException).code) throw error;
        refused++;
      }
    }
    expect(refused).toBeGreaterThan(bytes.length * 8 * 0.95);
  });

  test("are read with the dictionary that they were written with, to the last byte", () => {
    expect(createHash("sha256").update(FINDINGS_DICTIONARY_1).digest("hex")).toBe(
      "d560d1e56a7f2d1007aa127dd99fc55196f8ac3f18181fb115707e53238b82ef",
    );
    const stored = Buffer.from("KLUv/SSBxQAAOFsyMTEzN10EABVcBxEOw5+o2YGt57ABPenpig==", "base64");
    expect(decodeFindings(FINDINGS_ENCODING, stored)).toEqual([ONE]);
  });
});
