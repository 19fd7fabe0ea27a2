/**
 * Letters of other scripts that are drawn like a Latin one, in lower case. The pairs are those of Cyrillic, Greek and Armenian in the data of
 * Unicode Technical Standard 39, section 4 (confusables), from memory; a dotless or a reversed shape is left out.
 */
const LATIN_OF: Readonly<Record<string, string>> = {
  // Cyrillic
  а: "a",
  в: "b",
  с: "c",
  ԁ: "d",
  е: "e",
  һ: "h",
  н: "h",
  і: "i",
  ј: "j",
  к: "k",
  ӏ: "l",
  м: "m",
  о: "o",
  р: "p",
  ԛ: "q",
  ѕ: "s",
  т: "t",
  ѵ: "v",
  ԝ: "w",
  х: "x",
  у: "y",
  ү: "y",
  // Greek
  α: "a",
  β: "b",
  ε: "e",
  η: "n",
  ι: "i",
  κ: "k",
  μ: "m",
  ν: "v",
  ο: "o",
  ρ: "p",
  τ: "t",
  υ: "u",
  χ: "x",
  ζ: "z",
  ω: "w",
  // Armenian
  օ: "o",
  ո: "n",
  ս: "u",
  հ: "h",
  ց: "g",
  զ: "q",
  // Latin letters that no decomposition takes apart
  ı: "i",
  ł: "l",
  ø: "o",
  đ: "d",
  ħ: "h",
  ɑ: "a",
  ɡ: "g",
  ß: "ss",
  æ: "ae",
  œ: "oe",
  "|": "l",
};

/** Accents, and signs that take no room, such as U+200B. */
const UNSEEN = /[\p{M}\p{Cf}]/gu;

/** A text in lower-case Latin letters as far as it looks like them: compatibility forms and accents are taken off (Unicode NFKD). */
export function toLatin(text: string): string {
  const plain = text.normalize("NFKD").replace(UNSEEN, "").toLowerCase().normalize("NFKD").replace(UNSEEN, "");
  return plain.replace(/[^\p{ASCII}]|\|/gu, (letter) => LATIN_OF[letter] ?? letter);
}

/**
 * A word in which what is read alike is written alike: `0` as o, `1` and `i` as l, `rn` as m, `vv` as w. A word of digits that holds such a letter
 * (`5O00`) is a number.
 */
export function foldWord(word: string): string {
  if (/^[\doil]*$/.test(word) && /\d/.test(word)) return word.replaceAll("o", "0").replace(/[il]/g, "1");
  return word.replaceAll("0", "o").replace(/[1i]/g, "l").replaceAll("rn", "m").replaceAll("vv", "w");
}
