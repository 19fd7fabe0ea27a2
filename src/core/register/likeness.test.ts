import { describe, expect, it } from "@jest/globals";
import fc from "fast-check";
import { likeness, type NamedPack } from "./likeness.js";

const regatta: NamedPack = { maker: "Quillamber", name: "Regatta", series: 4, ratedCapacityMah: 5000 };

describe("the likeness of two packs", () => {
  it.each<[string, Partial<NamedPack>, string | null]>([
    ["itself", {}, "same-name"],
    [
      "a rating in its name and a hyphen in its maker",
      { maker: "Quill-Amber", name: "REGATTA 4S 5000mAh" },
      "same-name",
    ],
    ["a rating rounded", { ratedCapacityMah: 5200 }, "same-name"],
    ["one letter left out", { name: "Regata" }, "similar-name"],
    ["a letter doubled in the maker", { maker: "Quilllamber" }, "similar-name"],
    ["a number added", { name: "Regatta 2" }, "similar-name"],
    ["other cells in series", { series: 3 }, null],
    ["another size", { ratedCapacityMah: 5600 }, null],
    ["another name", { name: "Breakwater" }, null],
    ["another maker", { maker: "Tovrenol" }, null],
    ["another name that shares an ending", { name: "Cantata" }, null],
    ["another name that shares a beginning", { name: "Regent" }, null],
    ["another maker that shares a beginning", { maker: "Quillstone" }, null],
  ])("%s", (_, changes, expected) => {
    expect(likeness(regatta, { ...regatta, ...changes })).toBe(expected);
  });

  it("is none where the numbers in both names differ", () => {
    expect(likeness({ ...regatta, name: "Regatta 2" }, { ...regatta, name: "Regatta 3" })).toBeNull();
  });

  it("is none between names of nothing but other signs", () => {
    expect(likeness({ ...regatta, name: "%" }, { ...regatta, name: "$" })).toBeNull();
  });

  it("does not depend on who is compared with whom", () => {
    const pack = fc.record({
      maker: fc.constantFrom("Quillamber", "Quilamber", "Tovrenol"),
      name: fc.string({ minLength: 1, maxLength: 12 }),
      series: fc.constantFrom(3, 4),
      ratedCapacityMah: fc.constantFrom(5000, 5200, 5600),
    });
    fc.assert(fc.property(pack, pack, (a, b) => expect(likeness(a, b)).toBe(likeness(b, a))));
  });
});
