import { median } from "d3-array";

/** A specimen as a reference tester weighed it. */
export interface Weighing {
  readonly testerId: string;
  /** With leads and connector, g. */
  readonly grams: number;
}

/** Share by which the weighings may differ from what is registered before that changes: scales of testers differ by as much. */
export const MASS_AGREES_WITHIN = 0.005;

export interface WeighedMass {
  /** To 0.1 g. */
  readonly grams: number;
  readonly testers: number;
}

/**
 * The mass of a pack by its weighings: the median of testers, each with the median of the own specimens, so that nobody
 * weighs more by weighing more.
 *
 * @returns null where fewer than so many testers have weighed it
 */
export function weighedMass(weighings: readonly Weighing[], minTesters: number): WeighedMass | null {
  const byTester = Map.groupBy(weighings, ({ testerId }) => testerId);
  const ofTesters = [...byTester.values()].map((own) => median(own, ({ grams }) => grams) as number);
  const grams = median(ofTesters);
  if (grams === undefined || ofTesters.length < minTesters) return null;
  return { grams: Math.round(10 * grams) / 10, testers: ofTesters.length };
}

/** Whether a registered mass is so far from what was weighed that it is another. */
export function contradicts(registered: number | null, { grams }: WeighedMass): boolean {
  return registered === null || Math.abs(registered - grams) > MASS_AGREES_WITHIN * grams;
}
