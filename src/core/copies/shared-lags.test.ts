import { expect, it } from "@jest/globals";
import { createRandom } from "../../../seed/simulator/random.js";
import { type CopyHashes, KIND_SHIFT } from "./hashes.js";
import { sharedLags } from "./shared-lags.js";
import { pointSeconds } from "./windows.js";

const hashes = (pairs: readonly (readonly [hash: number, offset: number])[]): CopyHashes => ({
  hashes: Int32Array.from(pairs, ([hash]) => hash),
  offsets: Int32Array.from(pairs, ([, offset]) => offset),
});

it("finds the lag at which hashes meet, among as many that meet none", () => {
  const random = createRandom(3);
  const drawn = (count: number) => Array.from({ length: count }, () => Math.floor(random.between(0, 2 ** KIND_SHIFT)));
  const shared = drawn(3);
  const own = [...drawn(300), ...shared].map((hash, i) => [hash, 10 * i] as const);
  const other = [
    ...drawn(20_000).map((hash, i) => [hash, i] as const),
    ...own.slice(-3).map(([hash, at]) => [hash, at - 70] as const),
  ];
  const found = sharedLags(hashes(own), hashes(other));
  expect(found).toEqual([{ lagS: 70 * pointSeconds(0), withinS: 2 * pointSeconds(0), byCourse: false }]);
});

it("lets no hash meet one that has its last bits alone", () => {
  const own = [0x0001234, 0x0005678].map((hash) => [hash, 100] as const);
  const other = own.map(([hash]) => [hash | 0x10000, 40] as const);
  expect(sharedLags(hashes(own), hashes(other))).toEqual([]);
  expect(sharedLags(hashes(own), hashes(own))).toHaveLength(1);
});

it("counts a hash once for each lag at which it meets others", () => {
  const own = [[77, 100]] as const;
  const twice = [
    [77, 40],
    [77, 40],
    [77, -20],
  ] as const;
  expect(sharedLags(hashes(own), hashes(twice))).toEqual([]);
});
