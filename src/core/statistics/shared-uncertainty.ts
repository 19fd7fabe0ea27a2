import type { SharedUncertainty } from "../model.js";
import { hypot } from "../numerics/hypot.js";

/** The parts that all testers of a pack share. They are independent of each other; each is fully correlated between testers. */
export const SHARED_PARTS = ["kinetics", "resistance", "form"] as const satisfies readonly (keyof SharedUncertainty)[];

/** One tester's share in a mean, and the shared parts in the order of `SHARED_PARTS`, signed. */
export interface TesterParts {
  readonly share: number;
  readonly parts: readonly number[];
}

/**
 * What shared parts leave in a mean: sqrt(sum over parts of (sum over testers of w_i c_i)^2). Parts of opposite sign cancel, so testers on
 * both sides of a standard load know it better than as many on one side.
 *
 * Source: JCGM 100:2008, 5.2.2, formula (16) for correlation coefficients of one (clause from memory).
 */
export function sharedBy(testers: readonly TesterParts[]): number {
  return hypot(
    ...SHARED_PARTS.map((_, k) => testers.reduce((sum, { share, parts }) => sum + share * (parts[k] ?? 0), 0)),
  );
}
