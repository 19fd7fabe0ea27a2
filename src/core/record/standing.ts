import type { EstimateWithFreedom } from "../statistics/estimate.js";
import { brake, type ConfirmedValue } from "./brake.js";
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
  /** The confirmed value stays and a moderator has to decide. */
  readonly disputed: boolean;
  /** What the results give where a confirmed value stays; else null. */
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
  const counted = candidates.filter(({ testerId }) => !held.has(testerId));
  const references = counted.filter((one) => one.isReference);
  const established =
    rules.mayBeEstablished && meetsPolicy(policy, { testers: counted.length, referenceTesters: references.length });
  const testersBeside = results.filter(({ runs }) => runs > 0).length - counted.length;
  if (established) return establishedStanding(counted, references, { testersBeside, held }, rules);
  if (standing.length === 0) return null;
  const consensus = standingValue(standing, relativeSd);
  return {
    ...whatCounts(standing, consensus),
    ...shown(consensus, consensus.sharedUncertainty),
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
  const { braked, disputed } = brake(consensus, ofReferences, before);
  const vouchedTesters = counted.filter(({ status }) => status === "vouched").length;
  const confirmed = confirmedAfter(before, braked ? (ofReferences ?? consensus) : consensus, {
    computedValue: consensus.value,
    vouchedTesters,
    braked,
  });
  return {
    ...whatCounts(counted, consensus),
    ...shown(braked ? confirmed : consensus, consensus.sharedUncertainty),
    established: true,
    disputed,
    computedValue: braked ? consensus.value : null,
    testersBeside,
    heldTesterIds: [...held],
    confirmed,
  };
}

/** The first value is confirmed as it comes; another vouched tester confirms one that is not braked; all else is for moderators. */
function confirmedAfter(
  before: ConfirmedValue | null,
  { value, uncertainty, degreesOfFreedom }: EstimateWithFreedom,
  now: Pick<ConfirmedValue, "computedValue" | "vouchedTesters"> & { readonly braked: boolean },
): ConfirmedValue {
  const { braked, ...rest } = now;
  const isRenewed = before !== null && !braked && rest.vouchedTesters > before.vouchedTesters;
  if (before && !isRenewed) return { ...before, computedValue: rest.computedValue };
  return { value, uncertainty, degreesOfFreedom, ...rest, keptValue: null, byModerator: false };
}

const shown = (
  { value, uncertainty, degreesOfFreedom }: EstimateWithFreedom,
  sharedUncertainty: number,
): EstimateWithFreedom & { readonly sharedUncertainty: number } => ({
  value,
  uncertainty,
  degreesOfFreedom,
  sharedUncertainty,
});

function whatCounts(counted: readonly RankedResult[], consensus: StandingValue) {
  return {
    testers: counted.length,
    runs: counted.reduce((sum, { runs }) => sum + runs, 0),
    countedTesterIds: counted.map(({ testerId }) => testerId),
    consensus,
  };
}
