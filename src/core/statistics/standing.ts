import { type Agreement, agreementOf } from "./agreement.js";
import { type Consensus, consensusOf } from "./consensus.js";
import { type CrossCheck, dersimonianLaird } from "./dersimonian-laird.js";
import type { Estimate, EstimateWithFreedom } from "./estimate.js";
import { testerEstimate } from "./tester-estimate.js";

/** Fewest testers whose agreement makes a standing more than provisional. */
const TESTERS_FOR_STANDING = 3;

/** One run's result, with who found it. */
export interface TesterResult extends Estimate {
  readonly testerId: string;
  /** What of its uncertainty all testers may have in common, so that averaging does not lessen it; nothing when left out. */
  readonly common?: number;
}

/** What several testers together say of one figure of one pack. */
export interface PackResult extends EstimateWithFreedom {
  readonly testers: number;
  readonly runs: number;
  readonly provisional: boolean;
}

/** How a pack's result came about. */
export interface PackConsensus {
  readonly result: PackResult;
  readonly mandelPaule: Consensus;
  readonly dersimonianLaird: CrossCheck;
  /** Each tester's own estimate, in the order of `agreement.testers`. */
  readonly estimates: readonly EstimateWithFreedom[];
  readonly agreement: Agreement;
}

/** The testers' consensus: each tester's runs are averaged first, so that repeats never outvote another tester. */
export function packResult(results: readonly TesterResult[]): PackResult {
  return resultOf(results, consensusOf(estimatesOf(results)));
}

/** The same with everything behind it. */
export function packConsensus(results: readonly TesterResult[]): PackConsensus {
  const estimates = estimatesOf(results);
  const mandelPaule = consensusOf(estimates);
  const testers = [...byTester(results)].map(([testerId, runs]) => {
    return { testerId, values: runs.map(({ value }) => value) };
  });
  return {
    result: resultOf(results, mandelPaule),
    mandelPaule,
    dersimonianLaird: dersimonianLaird(estimates),
    estimates,
    agreement: agreementOf(testers),
  };
}

function resultOf(results: readonly TesterResult[], consensus: Consensus): PackResult {
  const { value, degreesOfFreedom } = consensus;
  const uncertainty = Math.max(consensus.uncertainty, Math.min(...results.map(({ common = 0 }) => common)));
  const testers = byTester(results).size;
  const provisional = testers < TESTERS_FOR_STANDING;
  return { value, uncertainty, degreesOfFreedom, testers, runs: results.length, provisional };
}

const byTester = (results: readonly TesterResult[]) => Map.groupBy(results, ({ testerId }) => testerId);

function estimatesOf(results: readonly TesterResult[]): EstimateWithFreedom[] {
  return [...byTester(results).values()].map((runs) =>
    testerEstimate(
      runs.map(({ value, uncertainty }) => ({ value, uncertainty: Math.max(uncertainty, leastUncertainty(value)) })),
    ),
  );
}

/** Nothing is known better than the numbers that carry it. */
const leastUncertainty = (value: number): number => Math.max(Number.EPSILON * Math.abs(value), Number.EPSILON);
