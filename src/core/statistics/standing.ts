import { consensusOf, type Estimate, testerEstimate } from "./consensus.js";

/** Fewest testers whose agreement makes a standing more than provisional. */
const TESTERS_FOR_STANDING = 3;

/** One run's result, with who found it. */
export interface TesterResult extends Estimate {
  readonly testerId: string;
}

/** What several testers together say of one figure of one pack. */
export interface PackResult extends Estimate {
  readonly testers: number;
  readonly runs: number;
  readonly provisional: boolean;
}

/** The testers' consensus: each tester's runs are averaged first, so that repeats never outvote another tester. */
export function packResult(results: readonly TesterResult[]): PackResult {
  const byTester = new Map<string, Estimate[]>();
  for (const { testerId, value, uncertainty } of results) {
    const runs = byTester.get(testerId) ?? [];
    byTester.set(testerId, [...runs, { value, uncertainty: Math.max(uncertainty, leastUncertainty(value)) }]);
  }
  const { value, uncertainty } = consensusOf([...byTester.values()].map(testerEstimate));
  const testers = byTester.size;
  return { value, uncertainty, testers, runs: results.length, provisional: testers < TESTERS_FOR_STANDING };
}

/** Nothing is known better than the numbers that carry it. */
const leastUncertainty = (value: number): number => Math.max(Number.EPSILON * Math.abs(value), Number.EPSILON);
