import { sampleOf } from "./sample.js";

/** A tester's run as it counts in the own mean. */
export interface CountedValue {
  readonly value: number;
  /** Whether a moderator let it count: it is accepted, or was when it was withdrawn. Where left out, it is. */
  readonly isDecided?: boolean;
}

/** What a tester's runs give, once those that no moderator has decided on are held to what chance explains. */
export interface BoundedValues {
  /** In the order of the runs. */
  readonly values: readonly number[];
  /** How much further the mean of the runs would lie from that of the decided ones, in their unit; 0 where the bound held nothing back. */
  readonly excess: number;
}

/** How far undecided runs may move a mean, in standard deviations of what chance does. */
const MAX_CHANCES = 2;

/**
 * Bounds what runs that were withdrawn before anybody decided on them do to their tester's mean. With a decided runs, w others and n = a + w, the
 * mean of all departs from that of the decided ones by chance with a standard deviation of s sqrt(w / (a n)), s being that of single runs. It is
 * moved by no more than twice that, with s_R for s: the departures of the undecided runs from the decided mean are all lessened by one factor, so
 * that the mean lies just at the bound. The best of n runs lies E_n s from the mean of all, E_n being the mean of the largest of n normal
 * deviates, 0.56 for two and 1.49 for nine (from memory), which is within it: who withdraws all but the best still gains nothing, nor
 * does who invents the others.
 *
 * Source: the design of this project (docs/records.md, rule 6); sqrt(w / (a n)) = sqrt(1/a - 1/n), the difference of means of a part and a whole.
 *
 * @param runs at least one decided among them; as they are where there is none
 * @param relativeSd s_R over the value
 */
export function boundedValues(runs: readonly CountedValue[], relativeSd: number): BoundedValues {
  const values = runs.map(({ value }) => value);
  const decided = runs.filter(isDecided);
  const [a, n] = [decided.length, runs.length];
  if (a === 0 || a === n) return { values, excess: 0 };
  const centre = sampleOf(decided.map(({ value }) => value)).mean;
  const shift = Math.abs(sampleOf(values).mean - centre);
  const bound = MAX_CHANCES * relativeSd * Math.abs(centre) * Math.sqrt((n - a) / (a * n));
  if (shift <= bound) return { values, excess: 0 };
  const factor = bound / shift;
  const bounded = runs.map((run) => (isDecided(run) ? run.value : centre + factor * (run.value - centre)));
  return { values: bounded, excess: shift - bound };
}

/** Whether a moderator let a run count. */
export const isDecided = ({ isDecided: decided = true }: Pick<CountedValue, "isDecided">): boolean => decided;

/** Those of some runs that a moderator let count; all where there are none. */
export function decidedOf<T extends Pick<CountedValue, "isDecided">>(runs: readonly T[]): readonly T[] {
  const decided = runs.filter(isDecided);
  return decided.length > 0 ? decided : runs;
}

/** The standard uncertainty of a mean that was held at its bound: anywhere within the excess (JCGM 100:2008, 4.3.7, from memory). */
export const excessUncertainty = (excess: number): number => excess / Math.sqrt(3);
