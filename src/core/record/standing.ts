import type { EstimateWithFreedom } from "../statistics/estimate.js";
import { brake, type ConfirmedValue, expanded } from "./brake.js";
import { type CandidateResult, heldTesters } from "./holds.js";
import { meetsPolicy, type StandingPolicy } from "./policy.js";
import { type StandingValue, standingValue } from "./standing-value.js";
import { isReference, makesValues, type TesterStatus } from "./status.js";

/** A tester's result with what is known of the tester and what a moderator said of it. */
export interface RankedResult extends Omit<CandidateResult, "isReference"> {
  readonly status: TesterStatus;
  /** Accepted runs; a result of withdrawn runs alone makes no standing. */
  readonly runs: number;
  /** What a moderator decided when it was held; null where none has, or the result is another one since. */
  readonly decision: "counts" | "beside" | null;
}

/** What decides a standing beside the results. */
export interface StandingRules {
  readonly policy: StandingPolicy;
  /** s_R over the value. */
  readonly relativeSd: number;
  /** The value that was confirmed; null while none was. */
  readonly confirmed: ConfirmedValue | null;
  /** Whether the pack may have established standings at all. */
  readonly mayBeEstablished: boolean;
}

/** A pack's value by one figure at one load, and how it came about. */
export interface RecordStanding extends EstimateWithFreedom {
  readonly sharedUncertainty: number;
  /** Testers who make the value, and their accepted runs. */
  readonly testers: number;
  readonly runs: number;
  readonly established: boolean;
  /** The results have left the value, and a moderator has to decide. */
  readonly disputed: boolean;
  /** What the results give where the value stops short of it; else null. */
  readonly computedValue: number | null;
  /** Testers whose results are shown beside the value. */
  readonly testersBeside: number;
  /** Those of them who are held for a moderator. */
  readonly heldTesterIds: readonly string[];
  /** What is confirmed from now on; null while nothing is. */
  readonly confirmed: ConfirmedValue | null;
  /** How the results, established or all of them, make the value that they give. */
  readonly consensus: StandingValue;
  /** Whose results these are, in the order of its shares. */
  readonly countedTesterIds: readonly string[];
}

/**
 * The standing that testers' results give: established where enough established testers count, who are not held; else a provisional one
 * of all. An established value that has left the confirmed one does not move before a moderator has decided.
 *
 * @param results of different testers, of one figure of one pack at one load
 * @returns null where nobody has an accepted run that counts
 */
export function recordStanding(results: readonly RankedResult[], rules: StandingRules): RecordStanding | null {
  const { policy, relativeSd } = rules;
  const standing = results.filter(({ runs, decision }) => runs > 0 && decision !== "beside");
  const candidates = standing
    .filter(({ status }) => makesValues(status, policy))
    .map((one) => ({ ...one, isReference: isReference(one.status) }));
  const released = new Set(candidates.filter(({ decision }) => decision === "counts").map(({ testerId }) => testerId));
  const held = heldTesters(candidates, relativeSd, released);
  const isEnough = (some: readonly { readonly isReference: boolean }[]) =>
    meetsPolicy(policy, { testers: some.length, referenceTesters: some.filter((one) => one.isReference).length });
  // Nobody takes a standing its place by getting others held: where too few would be left, all count, and the brake stops the value.
  const mayHold = rules.confirmed === null || !isEnough(candidates) || isEnough(without(candidates, held));
  if (!mayHold) held.clear();
  const counted = without(candidates, held);
  const references = counted.filter((one) => one.isReference);
  const established = rules.mayBeEstablished && isEnough(counted);
  const testersBeside = results.filter(({ runs }) => runs > 0).length - counted.length;
  if (established) return establishedStanding(counted, references, { testersBeside, held }, rules);
  if (standing.length === 0) return null;
  const consensus = standingValue(standing, relativeSd);
  return {
    ...whatCounts(standing, consensus),
    value: consensus.value,
    uncertainty: consensus.uncertainty,
    degreesOfFreedom: consensus.degreesOfFreedom,
    sharedUncertainty: consensus.sharedUncertainty,
    established: false,
    disputed: false,
    computedValue: null,
    testersBeside: results.filter(({ runs }) => runs > 0).length - standing.length,
    heldTesterIds: [],
    confirmed: rules.confirmed,
  };
}

interface Beside {
  readonly testersBeside: number;
  readonly held: ReadonlySet<string>;
}

function establishedStanding(
  counted: readonly (RankedResult & { readonly isReference: boolean })[],
  references: readonly RankedResult[],
  { testersBeside, held }: Beside,
  { relativeSd, confirmed: before }: StandingRules,
): RecordStanding {
  const consensus = standingValue(counted, relativeSd);
  const ofReferences = references.length > 0 ? standingValue(references, relativeSd) : null;
  const first = brake(consensus, ofReferences, before);
  const vouchedTesters = counted.filter(({ status }) => status === "vouched").length;
  const confirmed = confirmedAfter(
    before,
    { ...consensus, value: first.value },
    { computedValue: consensus.value, vouchedTesters, disputed: first.disputed },
  );
  // What is confirmed by it holds from now on, so that the same results computed again give the same value.
  const { value, disputed } = brake(consensus, ofReferences, confirmed);
  const { uncertainty, degreesOfFreedom, sharedUncertainty } = consensus;
  return {
    ...whatCounts(counted, consensus),
    value,
    uncertainty,
    degreesOfFreedom,
    sharedUncertainty,
    established: true,
    disputed,
    computedValue: value === consensus.value ? null : consensus.value,
    testersBeside,
    heldTesterIds: [...held],
    confirmed,
  };
}

/**
 * The first value is confirmed as it is shown; another vouched tester confirms one that is not disputed; all else is for moderators. The
 * uncertainty is the least since, so that nobody makes room by adding scatter.
 */
function confirmedAfter(
  before: ConfirmedValue | null,
  now: EstimateWithFreedom,
  { disputed, ...rest }: Pick<ConfirmedValue, "computedValue" | "vouchedTesters"> & { readonly disputed: boolean },
): ConfirmedValue {
  const { value, uncertainty, degreesOfFreedom } = now;
  const isRenewed = before !== null && !disputed && rest.vouchedTesters > before.vouchedTesters;
  if (before && !isRenewed) {
    const least = expanded(now) < expanded(before) ? { uncertainty, degreesOfFreedom } : {};
    return { ...before, ...least, computedValue: rest.computedValue };
  }
  return { value, uncertainty, degreesOfFreedom, ...rest, keptValue: null, byModerator: false };
}

const without = <T extends { readonly testerId: string }>(some: readonly T[], held: ReadonlySet<string>): T[] =>
  some.filter(({ testerId }) => !held.has(testerId));

function whatCounts(counted: readonly RankedResult[], consensus: StandingValue) {
  return {
    testers: counted.length,
    runs: counted.reduce((sum, { runs }) => sum + runs, 0),
    countedTesterIds: counted.map(({ testerId }) => testerId),
    consensus,
  };
}
