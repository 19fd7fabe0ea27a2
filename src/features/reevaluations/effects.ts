import type { ReviewState } from "../../core/lifecycle/run-lifecycle.js";
import type { Verdict } from "../../core/model.js";
import { type RankedStanding, type StandingChange, standingChanges } from "../../core/statistics/standing-changes.js";

/** Most changes that are listed; the numbers count all. */
const MAX_LISTED = 200;

/** How one run fared; no verdict when it could not be evaluated. */
export interface RunOutcome {
  readonly runId: string;
  readonly review: ReviewState;
  readonly from: Verdict;
  readonly to: Verdict | null;
  /** Required rules that it does not pass. */
  readonly failedRules: string[];
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

/** Whether a run loses its acceptance: it no longer conforms, or could not be evaluated. */
export const losesAcceptance = ({ review, to }: RunOutcome): boolean =>
  review === "accepted" && (to === null || to === "nonconforming");

const listed = ({ runId, review, from, to, failedRules }: RunOutcome): RunOutcome => ({
  runId,
  review,
  from,
  to,
  failedRules,
});

export function effectsOf(
  outcomes: readonly RunOutcome[],
  before: readonly RankedStanding[],
  after: readonly RankedStanding[],
): Effects {
  const changed = outcomes.filter(({ from, to }) => from !== to);
  const revoked = changed.filter(losesAcceptance);
  const standings = standingChanges(before, after);
  const byVerdicts = Map.groupBy(outcomes, ({ from, to }) => `${from} ${to}`);
  return {
    verdicts: [...byVerdicts.values()].map((some) => {
      const [{ from, to }] = some as [RunOutcome];
      return { from, to, runs: some.length };
    }),
    verdictsChanged: changed.length,
    acceptanceRevoked: revoked.length,
    runs: [...revoked, ...changed.filter((one) => !losesAcceptance(one))].slice(0, MAX_LISTED).map(listed),
    standings: after.length,
    standingsChanged: standings.length,
    placesChanged: standings.filter(({ from, to }) => from?.place !== to?.place).length,
    standingChanges: standings.slice(0, MAX_LISTED),
  };
}
