import { createHash } from "node:crypto";
import { describe, expect, it } from "@jest/globals";
import { cos, exp, expm1, fisherInverse, log, log1p, normalDistribution, pow, sin, studentInverse } from "./library.js";

/** Units in the last place between two doubles of one sign. */
function ulps(a: number, b: number): number {
  const [x, y] = [a, b].map((one) => new BigInt64Array(Float64Array.of(one).buffer)[0] as bigint);
  return Number((x as bigint) - (y as bigint));
}

/** Digits of the constants: The On-Line Encyclopedia of Integer Sequences, by the sequence's number. */
const PUBLISHED: [string, number, string][] = [
  ["A001113", exp(1), "2.71828182845904523536028747135266249776"],
  ["A068985", exp(-1), "0.36787944117144232159552377016146086744"],
  ["A072334", exp(2), "7.38905609893065022723042746057500781318"],
  ["A019774", exp(0.5), "1.64872127070012814684865078781416357165"],
  ["A002162", log(2), "0.69314718055994530941723212145817656807"],
  ["A002391", log(3), "1.09861228866810969139524523692252570464"],
  ["A002392", log(10), "2.30258509299404568401799145468436420760"],
  ["A016578", log1p(0.5), "0.40546510810816438197801311546434913657"],
  ["A091131", expm1(1), "1.71828182845904523536028747135266249776"],
  ["A049469", sin(1), "0.84147098480789650665250232163029899962"],
  ["A049470", cos(1), "0.54030230586813971740093660744297660373"],
  ["A002193", pow(2, 0.5), "1.41421356237309504880168872420969807857"],
  ["A002580", pow(2, 1 / 3), "1.25992104989487316476721060727822835057"],
  ["A039661", exp(Math.PI), "23.1406926327792690057290863679485473802"],
];

describe("the functions that every engine shares", () => {
  it.each(PUBLISHED)("give the published digits of %s", (_, value, digits) => {
    expect(Math.abs(ulps(value, Number(digits)))).toBeLessThanOrEqual(1);
  });

  // IEEE 754-2019, 9.2.1 (clause from memory), and ECMA-262, 21.3.2.
  it("give what is fixed at the ends of their domains", () => {
    expect([exp(-Infinity), exp(710), exp(-746), exp(Number.NaN)]).toEqual([0, Infinity, 0, Number.NaN]);
    expect([log(0), log(1), log(-1), log(Infinity)]).toEqual([-Infinity, 0, Number.NaN, Infinity]);
    expect([expm1(-Infinity), expm1(0), expm1(-0), log1p(-1), log1p(-2)]).toEqual([-1, 0, -0, -Infinity, Number.NaN]);
    expect([pow(0, 0), pow(2, -1074), pow(-8, 1 / 3), pow(0, -1)]).toEqual([1, 5e-324, Number.NaN, Infinity]);
    expect([sin(-0), cos(0), sin(Infinity)]).toEqual([-0, 1, Number.NaN]);
    expect([expm1(1e-12), log1p(1e-12)]).toEqual([1.0000000000005e-12, 9.999999999995e-13]);
  });

  it.each<[string, (x: number) => number, (x: number) => number, number, number]>([
    ["exp", exp, Math.exp, -700, 700],
    ["expm1", expm1, Math.expm1, -30, 30],
    ["log", log, Math.log, 1e-9, 1e6],
    ["log1p", log1p, Math.log1p, -0.999, 100],
    ["sin", sin, Math.sin, -100, 100],
    ["cos", cos, Math.cos, -100, 100],
    ["pow", (x) => pow(x, 1.37), (x) => x ** 1.37, 1e-9, 1e6],
  ])("%s is the engine's to the last two places", (_, own, engines, from, to) => {
    for (let i = 0; i <= 5000; i++) {
      const x = from + ((to - from) * i) / 5000;
      expect(Math.abs(ulps(own(x), engines(x)))).toBeLessThanOrEqual(2);
    }
  });

  // Changed bits are a change of the computation: raise its version, and write the golden results anew.
  it("give the bits that they have always given", () => {
    const all = [exp, expm1, log, log1p, sin, cos, (x: number) => pow(1.7, x), (x: number) => pow(x, 0.3)];
    const values = all.flatMap((one) => Array.from({ length: 4000 }, (_, i) => one(1e-3 * (i + 1) + i * i * 1e-6)));
    for (let i = 1; i < 200; i++) {
      values.push(studentInverse(0.97725, i / 3), fisherInverse(0.995, i, 7), normalDistribution(i / 40 - 2.5, 0, 1));
    }
    expect(
      createHash("sha256")
        .update(new Uint8Array(Float64Array.from(values).buffer))
        .digest("hex"),
    ).toBe("90d89832a7ca8f20357f6a7b0bd3bbe631801d3bf6df85085e03fd5dc6cdaa94");
  });
});
