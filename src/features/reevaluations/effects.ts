import type { ReviewState } from "../../core/lifecycle/run-lifecycle.js";
import type { Verdict } from "../../core/model.js";

/** How one run fared; no verdict when it could not be evaluated. */
export interface RunOutcome {
  readonly runId: string;
  readonly review: ReviewState;
  readonly from: Verdict;
  readonly to: Verdict | null;
  /** Required rules that it does not pass. */
  readonly failedRules: string[];
}

/** A value with its place in the ranking of its class of chemistry and cells in series. */
export interface PlacedValue {
  readonly value: number;
  readonly uncertainty: number;
  /** From 1; equal values share it. */
  readonly place: number;
}

/** A standing that differs in value, uncertainty or place; null where it is absent. */
export interface StandingChange {
  readonly packId: string;
  readonly figure: string;
  /** The standard load, A; null for figures under the runs' own loads. */
  readonly load: number | null;
  readonly unit: string;
  readonly from: PlacedValue | null;
  readonly to: PlacedValue | null;
}

/** What a re-evaluation changes, or would change. */
export interface Effects {
  readonly verdicts: readonly { readonly from: Verdict; readonly to: Verdict | null; readonly runs: number }[];
  readonly verdictsChanged: number;
  /** Accepted runs whose acceptance is revoked; they are pending again. */
  readonly acceptanceRevoked: number;
  readonly runs: readonly RunOutcome[];
  readonly standings: number;
  readonly standingsChanged: number;
  readonly placesChanged: number;
  readonly standingChanges: readonly StandingChange[];
}

/** Whether a run lost its acceptance: it no longer conforms, or could not be evaluated. */
export const isRevoked = ({ review, to }: Pick<RunOutcome, "review" | "to">): boolean =>
  review === "accepted" && (to === null || to === "nonconforming");
