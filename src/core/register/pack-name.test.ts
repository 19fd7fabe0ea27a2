import { describe, expect, it } from "@jest/globals";
import fc from "fast-check";
import { makerKey, matchKey, nameKey } from "./pack-name.js";

const RATED = { ratedCapacityMah: 5000 };
const key = (name: string) => nameKey("Quillamber", name, RATED).joined;
const word = fc.stringMatching(/^[A-Za-z]{3,10}$/).filter((text) => !/^(?:battery|pack|akku|li)/i.test(text));

describe("a pack's name as it is compared", () => {
  it.each([
    ["another case", "REGATTA"],
    ["hyphens and spaces", "Re - gatta"],
    ["an accent", "Régatta"],
    ["compatibility forms", "Ｒｅｇａｔｔａ"],
    ["Cyrillic letters", "Rеgаttа"],
    ["Greek letters", "Regαττα"],
    ["Armenian letters", "Reցatta"],
    ["signs that take no room", "Re\u200Bga\u2060t\u00ADta"],
    ["its maker before it", "Quillamber Regatta"],
    ["its capacity", "Regatta 5000mAh"],
    ["its capacity with letters for digits", "Regatta 5O00 mAh"],
    ["its capacity in Ah", "Regatta 5.0 Ah"],
    ["its capacity as a bare number", "Regatta 5000"],
    ["cells and C-rates", "Regatta 4S1P 60C/120C"],
    ["its voltage and energy", "Regatta 14.8V 74Wh"],
    ["its chemistry", "Regatta Li-Po"],
  ])("is the same with %s", (_, name) => {
    expect(key(name)).toBe(key("Regatta"));
  });

  it.each([
    ["another number", "Regatta 2", "Regatta 3"],
    ["another word", "Regatta", "Ridge"],
  ])("is another one with %s", (_, a, b) => {
    expect(key(a)).not.toBe(key(b));
  });

  it("reads 0 as O and 1 as l among letters, and O as 0 among digits", () => {
    expect([key("M0untaln"), key("Mounta1n")]).toEqual([key("Mountain"), key("Mountain")]);
    expect(nameKey("Quillamber", "Regatta 1O", RATED).numbers).toEqual(["10"]);
  });

  it("reads rn as m and vv as w", () => {
    expect([key("Bumside"), key("VVestem")]).toEqual([key("Burnside"), key("Western")]);
  });

  it("keeps a name that is nothing but a rating", () => {
    expect(nameKey("Quillamber", "4S 5000", RATED).words).toEqual(["4s", "5000"]);
  });

  it("is never empty, and the same when it is made again of its own words", () => {
    fc.assert(
      fc.property(fc.string({ unit: "grapheme", minLength: 1, maxLength: 40 }), (name) => {
        const { words } = makerKey(name);
        expect(makerKey(words.join(" ")).words).toEqual(words);
      }),
    );
  });

  it("is the same whatever its case, spaces and rating", () => {
    const rating = fc.constantFrom("", " 4S", " 5000mAh", " 60C", " 14.8V", " LiPo", " 5000");
    fc.assert(
      fc.property(fc.array(word, { minLength: 1, maxLength: 3 }), rating, (words, said) => {
        const plain = nameKey("Maker", words.join(" "), RATED).joined;
        expect(nameKey("Maker", `${words.join("-").toUpperCase()}${said}`, RATED).joined).toBe(plain);
        expect(nameKey("Maker", words.join("  ").toLowerCase() + said, RATED).joined).toBe(plain);
      }),
    );
  });

  it("is looked up by the words of maker and name", () => {
    expect(matchKey({ maker: "Quillamber", name: "Regatta 4S 5000", ...RATED })).toBe("qulllamber regatta");
  });
});
