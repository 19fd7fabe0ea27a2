/** What a scenario is given. */
export interface Trial {
  /** Kills of all scenarios together. */
  readonly kills: number;
  readonly seed: number;
  readonly say: (line: string) => void;
}

/** What came of a scenario; each list names what went wrong, and should be empty. */
export interface Outcome {
  /** What was done to the service, in words. */
  readonly done: string;
  readonly kills: number;
  /** Uploads that were acknowledged. */
  readonly uploads: number;
  /** Standings that were computed anew and compared. */
  readonly standings: number;
  readonly lost: readonly string[];
  readonly evaluatedTwice: readonly string[];
  readonly wrongStandings: readonly string[];
  /** Requests that were not answered within their time. */
  readonly unanswered: readonly string[];
  /** What else went wrong. */
  readonly others: readonly string[];
  /** The longest that anybody waited for an answer, s. */
  readonly longestSeconds: number;
}

/** How the whole ended: 0 where everything was tried and held, 1 for any fault, 2 where something was not tried that had to be. */
export function exitCodeOf(
  outcomes: readonly (Outcome | null)[],
  { mayLeaveOut }: { readonly mayLeaveOut: boolean },
): 0 | 1 | 2 {
  if (outcomes.some((outcome) => outcome && faultsOf(outcome).length > 0)) return 1;
  return !mayLeaveOut && outcomes.includes(null) ? 2 : 0;
}

/** One way in which things fail. */
export interface Scenario {
  readonly name: string;
  /** Null where this machine cannot do it; `say` has told why. */
  run(trial: Trial): Promise<Outcome | null>;
}

export const faultsOf = ({ lost, evaluatedTwice, wrongStandings, unanswered, others }: Outcome): readonly string[] => [
  ...lost.map((what) => `lost: ${what}`),
  ...evaluatedTwice.map((what) => `evaluated twice: ${what}`),
  ...wrongStandings.map((what) => `wrong standing: ${what}`),
  ...unanswered.map((what) => `unanswered: ${what}`),
  ...others,
];
