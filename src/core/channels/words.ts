import type { Channel } from "../model.js";
import { OTHER, OTHER_OF, OWN, OWN_OF } from "./vocabulary/qualifiers.js";
import { ALSO, QUANTITY_WORDS, TAP_WORDS } from "./vocabulary/quantities.js";

/** What a word of a header says of its column, seen as a reading of one channel. */
export type WordMeaning = "quantity" | "own" | "other" | "unknown";

/** Lower case, without accents, so that a word is found however it is written. */
export function fold(text: string): string {
  return text
    .normalize("NFKD")
    .replace(/\p{Diacritic}/gu, "")
    .normalize("NFC")
    .toLowerCase()
    .replace(/ß/g, "ss")
    .replace(/æ/g, "ae")
    .replace(/ø/g, "o")
    .replace(/ł/g, "l")
    .replace(/ı/g, "i");
}

const setOf = (words: string): ReadonlySet<string> => new Set(words.split(/\s+/).filter(Boolean).map(fold));
const setsOf = (lists: Readonly<Record<Channel, string>>): ReadonlyMap<Channel, ReadonlySet<string>> =>
  new Map(Object.entries(lists).map(([channel, words]) => [channel as Channel, setOf(words)]));

const QUANTITIES = setsOf(QUANTITY_WORDS);
const OWN_WORDS = setOf(OWN);
const OTHER_WORDS = setOf(OTHER);
const OWN_WORDS_OF = setsOf(OWN_OF);
const OTHER_WORDS_OF = setsOf(OTHER_OF);
const TAPS = setOf(TAP_WORDS);
/** The words that tell the pack from other things on the bench, which settle a choice between columns of one quantity. */
const PACK_WORDS = setOf(
  "pack battery batt bat akku batterie bateria baterie accu akumulator pakiet batteri akun total gesamt main lipo батареи батарея 电池 電池",
);

export const isTapWord = (word: string): boolean => TAPS.has(word);
export const isPackWord = (word: string): boolean => PACK_WORDS.has(word);

/** The channels whose quantity a word names. */
export function quantitiesOf(word: string): readonly Channel[] {
  const named = [...QUANTITIES].filter(([, words]) => words.has(word)).map(([channel]) => channel);
  const also = ALSO[word];
  return also && !named.includes(also) ? [...named, also] : named;
}

/** What a word says of a column that would be read as `channel`. */
export function meaningFor(word: string, channel: Channel): WordMeaning {
  const quantities = quantitiesOf(word);
  if (quantities.includes(channel)) return "quantity";
  if (channel === "cell" && quantities.includes("voltage")) return "own";
  if (OTHER_WORDS_OF.get(channel)?.has(word)) return "other";
  if (OWN_WORDS_OF.get(channel)?.has(word)) return "own";
  if (OTHER_WORDS.has(word)) return "other";
  if (OWN_WORDS.has(word)) return "own";
  return quantities.includes("cell") ? "other" : "unknown";
}

/** Whether a word says something of any channel. */
export const isKnown = (word: string): boolean =>
  quantitiesOf(word).length > 0 ||
  OWN_WORDS.has(word) ||
  OTHER_WORDS.has(word) ||
  [...OWN_WORDS_OF.values(), ...OTHER_WORDS_OF.values()].some((words) => words.has(word));

const SYMBOL = /^[uvitpq]/;
const MIN_PART = 3;
const LINKS = ["", "s", "n", "en", "es", "e"];
/** Scripts that write words without spaces between them. */
const UNSPACED = /^[\p{Script=Han}\p{Script=Hiragana}\p{Script=Katakana}\p{Script=Hangul}]+$/u;

/**
 * The words that a word is made of: "akkuspannung" is "akku" and "spannung", "ubat" is "u" and "bat", "电池电压" is "电池" and "电压".
 * The word itself where it is known as it stands, or has a part that is not known.
 */
export function partsOf(word: string): readonly string[] {
  if (isKnown(word) || /^\d+$/.test(word)) return [word];
  const parts = segmented(word, UNSPACED.test(word) ? 1 : MIN_PART);
  if (parts) return parts;
  const rest = word.slice(1);
  if (!SYMBOL.test(word) || rest.length < 2) return [word];
  const beside = isKnown(rest) ? [rest] : segmented(rest, MIN_PART);
  return beside ? [word.charAt(0), ...beside] : [word];
}

/** A word cut into known ones of a minimum length, as few as possible from the left, with the letters that link them. */
function segmented(word: string, minLength: number): readonly string[] | null {
  const best: (readonly string[] | null)[] = Array.from({ length: word.length + 1 }, () => null);
  best[0] = [];
  for (let from = 0; from < word.length; from++) {
    const before = best[from];
    if (!before) continue;
    for (let to = from + minLength; to <= word.length; to++) {
      const part = word.slice(from, to);
      if (!isKnown(part)) continue;
      for (const link of LINKS) {
        const end = to + link.length;
        const isLinked = link === "" || (end < word.length && word.startsWith(link, to));
        const known = best[end];
        if (isLinked && end <= word.length && (!known || known.length > before.length + 1))
          best[end] = [...before, part];
      }
    }
  }
  return best[word.length] ?? null;
}
