import { expect, it } from "@jest/globals";
import { beyondLabel } from "./beyond-label.js";

// 20 C and 40 C of 5 Ah: 100 A and 200 A.
const pack = { ratedCapacityMah: 5_000, labelContinuousC: 20, labelBurstC: 40 };
const beyondAll = (amps: number, most: number) => [
  `The use draws up to ${amps} A, more than the ${most} A that the maker's label allows at most.`,
];

it("says of a use that draws more than the label allows which of its currents that is", () => {
  expect(beyondLabel(100, pack)).toEqual([]);
  expect(beyondLabel(100.5, pack)).toEqual([
    "The use draws up to 100.5 A, more than the 100 A of continuous current on the label: it allows that in bursts alone.",
  ]);
  expect(beyondLabel(200, pack)).toHaveLength(1);
  expect(beyondLabel(201, pack)).toEqual(beyondAll(201, 200));
});

it("takes the one current that a label names, and says nothing where it names none or nothing is known to be drawn", () => {
  expect(beyondLabel(101, { ...pack, labelBurstC: null })).toEqual(beyondAll(101, 100));
  expect(beyondLabel(201, { ...pack, labelContinuousC: null })).toEqual(beyondAll(201, 200));
  expect(beyondLabel(150, { ...pack, labelContinuousC: null })).toEqual([]);
  expect(beyondLabel(900, { ...pack, labelContinuousC: null, labelBurstC: null })).toEqual([]);
  expect(beyondLabel(null, pack)).toEqual([]);
});
