import type { DeclaredPack } from "../inputs/pack.js";
import { foldWord, toLatin } from "./look-alikes.js";

/** Changes whenever `nameKey` gives another key for some name: stored keys are then made anew. */
export const NAME_KEY_VERSION = 2;

/** A maker or a name as it is compared: no case, accents, punctuation or look-alike letters, and no rating. */
export interface NameKey {
  /** Its words. */
  readonly words: readonly string[];
  /** The words without spaces, so that `Re-gatta` is `Regatta`. */
  readonly joined: string;
  /** Numbers in it that are no rating, such as the 2 of `Regatta 2`. */
  readonly numbers: readonly string[];
}

const NUMBER = String.raw`[\do]*\d[\do]*(?:[.,]\d+)?`;
/** A rating written into a name: capacity, cells, C-rates, voltage or energy. */
const RATINGS = [
  new RegExp(String.raw`(?<![\p{L}\d])${NUMBER}[\s-]*m?ah(?![\p{L}\d])`, "gu"),
  /(?<![\p{L}\d])\d+[\s-]*s(?:[\s-]*\d+[\s-]*p)?(?![\p{L}\d])/gu,
  /(?<![\p{L}\d])\d+[\s-]*p(?![\p{L}\d])/gu,
  new RegExp(String.raw`(?<![\p{L}\d])${NUMBER}(?:[\s-]*c)?\s*[/-]\s*${NUMBER}[\s-]*c(?![\p{L}\d])`, "gu"),
  new RegExp(String.raw`(?<![\p{L}\d])${NUMBER}[\s-]*(?:c|v|wh)(?![\p{L}\d])`, "gu"),
];
const CHEMISTRY = /(?<![\p{L}\d])(?:li[\s-]?(?:po|ion|hv|fe|fepo4)|lfp)(?![\p{L}\d])/gu;
/** Words that say no more than what is registered. */
const EMPTY_WORDS: ReadonlySet<string> = new Set(["battery", "pack", "akku"]);

type Rating = Pick<DeclaredPack, "ratedCapacityMah">;

/** How a maker is compared. */
export function makerKey(maker: string): NameKey {
  const latin = toLatin(maker);
  return keyOf(wordsOf(latin), latin);
}

/** How a pack's name is compared: without its rating, its chemistry and its maker. A name that is nothing else keeps them. */
export function nameKey(maker: string, name: string, { ratedCapacityMah }: Rating): NameKey {
  const latin = toLatin(name);
  const bare = [...RATINGS, CHEMISTRY].reduce((text, pattern) => text.replace(pattern, " "), latin);
  const ofMaker = wordsOf(toLatin(maker));
  const words = wordsOf(bare).filter(
    (word) => !EMPTY_WORDS.has(word) && word !== foldWord(String(ratedCapacityMah)) && !ofMaker.includes(word),
  );
  return keyOf(words.length > 0 ? words : wordsOf(latin), latin);
}

/** What of a pack is looked up: the words of its maker and its name. */
export function matchKey({ maker, name, ratedCapacityMah }: Rating & Pick<DeclaredPack, "maker" | "name">): string {
  return [...makerKey(maker).words, ...nameKey(maker, name, { ratedCapacityMah }).words].join(" ");
}

/** Words that somebody seeks, as they stand in what is looked up. */
export function searchWords(text: string): readonly string[] {
  return wordsOf(toLatin(text));
}

function wordsOf(latin: string): string[] {
  return latin
    .split(/[^\p{L}\p{N}]+/u)
    .filter(Boolean)
    .map(foldWord);
}

/** A name without letters or digits is what it is, without spaces. */
function keyOf(words: readonly string[], latin: string): NameKey {
  const joined = words.join("") || latin.replace(/\s+/gu, "");
  return { words, joined, numbers: words.filter((word) => /^\d+$/.test(word)) };
}
