import type { SharedUncertainty } from "../model.js";
import { hypot } from "../numerics/hypot.js";
import { effectiveFreedom } from "../uncertainty/effective-freedom.js";
import { type Agreement, agreementOf } from "./agreement.js";
import { boundedValues, type CountedValue, decidedOf } from "./bounded-values.js";
import { type Consensus, consensusOf } from "./consensus.js";
import { type CrossCheck, dersimonianLaird } from "./dersimonian-laird.js";
import type { Estimate, EstimateWithFreedom } from "./estimate.js";
import { sampleOf } from "./sample.js";
import { SHARED_PARTS, sharedBy } from "./shared-uncertainty.js";
import { type TesterEstimate, testerEstimate } from "./tester-estimate.js";

/** Fewest testers whose agreement makes a standing an established one. */
const TESTERS_FOR_STANDING = 3;

/** One run's result, with who found it. */
export interface TesterResult extends Estimate, CountedValue {
  readonly testerId: string;
  /** Least uncertainty that all testers have in common, so that averaging does not lessen it; nothing when left out. */
  readonly common?: number;
  /** The parts of `uncertainty` of a translated figure; testers share nothing where it is null or left out. */
  readonly shared?: SharedUncertainty | null;
}

/** What several testers together say of one figure of one pack. */
export interface PackResult extends EstimateWithFreedom {
  /** What of the uncertainty the testers share: it is added once, and more testers do not lessen it. */
  readonly sharedUncertainty: number;
  readonly testers: number;
  readonly runs: number;
  readonly established: boolean;
}

/** How a pack's result came about. */
export interface PackConsensus {
  readonly result: PackResult;
  /** Of what the testers do not share. */
  readonly mandelPaule: Consensus;
  readonly dersimonianLaird: CrossCheck;
  /** Each tester's own estimate with its whole uncertainty, in the order of `agreement.testers`. */
  readonly estimates: readonly TesterEstimate[];
  readonly agreement: Agreement;
}

/**
 * The testers' consensus: each tester's runs are averaged first, so that repeats never outvote another tester. Testers are
 * averaged by what they do not share; what they share is then added with the testers' shares w in the mean and its sign,
 * u^2 = u_own^2 + sum over the shared parts of (sum(w_i c_i))^2.
 */
export function packResult(results: readonly TesterResult[]): PackResult {
  return resultOf(results, consensusOf(estimatesOf(results, ownUncertainty)));
}

/**
 * The same with everything behind it.
 *
 * @param relativeSd s_R over the value, within which runs that no moderator has decided on move their tester's mean
 */
export function packConsensus(results: readonly TesterResult[], relativeSd = 0): PackConsensus {
  const own = estimatesOf(results, ownUncertainty, relativeSd);
  const mandelPaule = consensusOf(own);
  const testers = [...byTester(results)].map(([testerId, runs]) => {
    return { testerId, values: boundedValues(runs, relativeSd).values };
  });
  return {
    result: resultOf(results, mandelPaule),
    mandelPaule,
    dersimonianLaird: dersimonianLaird(own),
    estimates: estimatesOf(results, ({ uncertainty }) => uncertainty, relativeSd),
    agreement: agreementOf(testers),
  };
}

function resultOf(results: readonly TesterResult[], consensus: Consensus): PackResult {
  const testers = [...byTester(results).values()];
  const shared = sharedBy(
    testers.map((runs, i) => ({
      share: consensus.shares[i] as number,
      parts: SHARED_PARTS.map((part) => sampleOf(decidedOf(runs).map((run) => run.shared?.[part] ?? 0)).mean),
    })),
  );
  const least = Math.min(...results.map(({ common = 0 }) => common));
  return {
    value: consensus.value,
    uncertainty: Math.max(hypot(consensus.uncertainty, shared), least),
    degreesOfFreedom:
      shared === 0
        ? consensus.degreesOfFreedom
        : effectiveFreedom([consensus, { uncertainty: shared, degreesOfFreedom: null }]),
    sharedUncertainty: shared,
    testers: testers.length,
    runs: results.length,
    established: testers.length >= TESTERS_FOR_STANDING,
  };
}

const byTester = (results: readonly TesterResult[]) => Map.groupBy(results, ({ testerId }) => testerId);

const ownUncertainty = ({ shared, uncertainty }: TesterResult): number => shared?.own ?? uncertainty;

function estimatesOf(
  results: readonly TesterResult[],
  uncertaintyOf: (result: TesterResult) => number,
  relativeSd = 0,
): TesterEstimate[] {
  return [...byTester(results).values()].map((runs) =>
    testerEstimate(
      runs.map((run) => ({ ...run, uncertainty: Math.max(uncertaintyOf(run), leastUncertainty(run.value)) })),
      relativeSd,
    ),
  );
}

/** Nothing is known better than the numbers that carry it. */
const leastUncertainty = (value: number): number => Math.max(Number.EPSILON * Math.abs(value), Number.EPSILON);
