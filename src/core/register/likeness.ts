import type { DeclaredPack } from "../inputs/pack.js";
import { makerKey, type NameKey, nameKey } from "./pack-name.js";
import { trigramSimilarity } from "./trigrams.js";

/** Why a registered pack may be the one that somebody is about to register again. */
export const LIKENESSES = ["same-name", "similar-name"] as const;
export type Likeness = (typeof LIKENESSES)[number];

/** What tells packs apart in the register. */
export type NamedPack = Pick<DeclaredPack, "maker" | "name" | "series" | "ratedCapacityMah">;

/** Least similarity of two names, or of two makers, that may be one. Common practice, no published source. */
const MIN_SIMILARITY = 0.45;
/** Most that the rated capacities of one product differ by, as a share of the smaller: a label misread, or rounded. */
const CAPACITY_SHARE = 0.1;

/**
 * Why two packs may be one product, or null when they are told apart: by their cells in series, by their rated capacity, by the
 * numbers in their names (`Regatta 2`, `Regatta 3`), or by maker or name. Who compares them makes no difference.
 */
export function likeness(a: NamedPack, b: NamedPack): Likeness | null {
  if (a.series !== b.series || !isNear(a.ratedCapacityMah, b.ratedCapacityMah)) return null;
  const [makerA, makerB] = [makerKey(a.maker), makerKey(b.maker)];
  const [nameA, nameB] = [nameKey(a.maker, a.name, a), nameKey(b.maker, b.name, b)];
  if (makerA.joined === makerB.joined && nameA.joined === nameB.joined) return "same-name";
  const areAlike = isAlike(makerA, makerB) && haveNoOtherNumbers(nameA, nameB) && isAlike(nameA, nameB);
  return areAlike ? "similar-name" : null;
}

function isNear(a: number, b: number): boolean {
  return Math.abs(a - b) <= CAPACITY_SHARE * Math.min(a, b);
}

function isAlike(a: NameKey, b: NameKey): boolean {
  const similarity = Math.max(
    trigramSimilarity(a.joined, b.joined),
    trigramSimilarity(a.words.join(" "), b.words.join(" ")),
  );
  return a.joined === b.joined || similarity >= MIN_SIMILARITY;
}

/** Both names hold numbers, and other ones, where they do not agree. */
function haveNoOtherNumbers({ numbers: a }: NameKey, { numbers: b }: NameKey): boolean {
  return a.length === 0 || b.length === 0 || a.join(" ") === b.join(" ");
}
