import { expect, it } from "@jest/globals";
import { createRandom } from "../../../seed/simulator/random.js";
import { sortedByHash } from "./sorted-hashes.js";

const MIN_HASH = -(2 ** 31);
const MAX_HASH = 2 ** 31 - 1;

it("hashes come in ascending order, each with its own offset modulo 2,048", () => {
  const random = createRandom(11);
  const below = (end: number) => Math.floor(random.between(0, end));
  const some = Array.from({ length: 5_000 }, () => [below(2 ** 32) - 2 ** 31, below(100_000)] as const);
  const pairs = [...some, ...some.slice(0, 500), [MIN_HASH, 2047], [MAX_HASH, 2048], [0, 0], [-1, 4095]] as const;
  const sorted = sortedByHash({
    hashes: Int32Array.from(pairs, ([hash]) => hash),
    offsets: Int32Array.from(pairs, ([, offset]) => offset),
  });
  const expected = pairs.map(([hash, offset]) => [hash, offset % 2048] as const).sort((a, b) => a[0] - b[0]);
  // ECMA-262, Array.prototype.sort: those that are equal keep their order.
  expect(Array.from(sorted.hashes, (hash, i) => [hash, sorted.offsets[i]])).toEqual(expected);
});

it("none are none", () => {
  const none = { hashes: new Int32Array(0), offsets: new Int32Array(0) };
  expect(sortedByHash(none)).toEqual(none);
});
