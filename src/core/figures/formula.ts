import type { PackFacts } from "../model.js";
import type { ReadingKey } from "./reading.js";

/** The value of one read, or null when the trace did not give it. */
export type ReadValue = (key: ReadingKey) => number | null;

/** One figure: its key and unit, and how it follows from what was read off the trace and from the pack. */
export interface FigureFormula {
  readonly key: string;
  readonly unit: string;
  /** Grows with the length of the run, so that it is a lower bound when the run ended before its cutoff, or its log begins under load. */
  readonly growsWithRun?: boolean;
  /** Is read at an instant, or until one, that counts from the onset: a log that begins under load does not tell it. */
  readonly atInstant?: boolean;
  /** Counts from the onset: a lower bound when the log begins under load. */
  readonly sinceOnset?: boolean;
  /**
   * Not given under a standard load: read from the pack's temperature, of which that says nothing; fixed there by the definition of the
   * cutoff; or held against the label, on which nothing that is translated depends.
   */
  readonly ownLoadOnly?: boolean;
  /** null when something it needs was not logged or not reached. */
  readonly from: (read: ReadValue, pack: PackFacts) => number | null;
}

/** `combine` of the reads named, or null when one is missing. */
export function combining(
  keys: readonly ReadingKey[],
  combine: (values: number[], pack: PackFacts) => number | null,
): FigureFormula["from"] {
  return (read, pack) => {
    const values: number[] = [];
    for (const key of keys) {
      const value = read(key);
      if (value === null) return null;
      values.push(value);
    }
    return combine(values, pack);
  };
}
