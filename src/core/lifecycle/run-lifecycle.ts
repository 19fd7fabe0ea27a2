/** What the service has done with a run: queued, being evaluated, evaluated, or found unreadable. */
export const RUN_STATES = ["queued", "processing", "processed", "failed"] as const;
export type RunState = (typeof RUN_STATES)[number];

/** What people have decided about a run. Only accepted runs are public and count. */
export const REVIEW_STATES = ["waiting", "asked", "accepted", "rejected", "withdrawn"] as const;
export type ReviewState = (typeof REVIEW_STATES)[number];

export const DECISIONS = ["accept", "reject", "ask"] as const;
export type Decision = (typeof DECISIONS)[number];

/** What a tester says to a decision: an answer to what was asked, or, once, that a rejection was wrong. */
export const REPLIES = ["answer", "appeal"] as const;
export type Reply = (typeof REPLIES)[number];

/** A decision is taken back, to where the run stood before it. */
export const UNDOINGS = ["undo-to-waiting", "undo-to-asked", "undo-to-accepted", "undo-to-rejected"] as const;
export type Undoing = (typeof UNDOINGS)[number];

/** Everything that can happen to a run. */
export const RUN_EVENTS = [
  "start",
  "restart",
  "finish",
  "fail",
  "retry",
  ...DECISIONS,
  ...REPLIES,
  ...UNDOINGS,
  "lapse",
  // What was asked is answered with another run, in whose favour this one is withdrawn.
  "replace",
  "withdraw",
] as const;
export type RunEvent = (typeof RUN_EVENTS)[number];

export interface RunStatus {
  readonly state: RunState;
  readonly review: ReviewState;
  /** Whether its tester has appealed. */
  readonly appealed: boolean;
}

export const NEW_RUN: RunStatus = { state: "queued", review: "waiting", appealed: false };

interface Transition {
  readonly states: readonly RunState[];
  readonly reviews: readonly ReviewState[];
  readonly to: Partial<RunStatus>;
  /** May happen once in the run's life. */
  readonly isAppeal?: true;
}

const UNDECIDED: readonly ReviewState[] = ["waiting", "asked"];
const EVALUATED: readonly RunState[] = ["processed", "failed"];
const DECIDABLE: readonly ReviewState[] = ["waiting", "asked", "accepted", "rejected"];

/**
 * When each event may happen and where it leads. A run is withdrawn for good; a decision can be revised by another one
 * until then. Evaluation goes on whatever the review says, so that nothing uploaded is lost.
 */
const TRANSITIONS: Readonly<Record<RunEvent, Transition>> = {
  start: { states: ["queued"], reviews: REVIEW_STATES, to: { state: "processing" } },
  // A worker that died leaves a run in processing; the next one takes it up again.
  restart: { states: ["processing"], reviews: REVIEW_STATES, to: { state: "processing" } },
  finish: { states: ["processing"], reviews: REVIEW_STATES, to: { state: "processed" } },
  fail: { states: ["processing"], reviews: REVIEW_STATES, to: { state: "failed" } },
  // The tester sends the same log again, with a column map that makes it readable.
  retry: { states: ["failed"], reviews: UNDECIDED, to: { state: "queued", review: "waiting" } },
  accept: { states: ["processed"], reviews: ["waiting", "asked", "rejected"], to: { review: "accepted" } },
  reject: { states: ["processed", "failed"], reviews: ["waiting", "asked", "accepted"], to: { review: "rejected" } },
  ask: { states: ["processed", "failed"], reviews: UNDECIDED, to: { review: "asked" } },
  answer: { states: EVALUATED, reviews: ["asked"], to: { review: "waiting" } },
  appeal: { states: EVALUATED, reviews: ["rejected"], to: { review: "waiting", appealed: true }, isAppeal: true },
  "undo-to-waiting": { states: EVALUATED, reviews: ["asked", "accepted", "rejected"], to: { review: "waiting" } },
  "undo-to-asked": { states: EVALUATED, reviews: ["asked", "accepted", "rejected"], to: { review: "asked" } },
  "undo-to-accepted": { states: ["processed"], reviews: ["rejected"], to: { review: "accepted" } },
  "undo-to-rejected": { states: ["processed"], reviews: ["accepted"], to: { review: "rejected" } },
  // Another version of the protocol or of the computation counts now, and under it the run does not conform.
  lapse: { states: ["processed"], reviews: ["accepted"], to: { review: "waiting" } },
  replace: { states: EVALUATED, reviews: ["asked"], to: { review: "withdrawn" } },
  withdraw: { states: RUN_STATES, reviews: DECIDABLE, to: { review: "withdrawn" } },
};

/** The status after an event, or null when the event may not happen then. */
export function after(status: RunStatus, event: RunEvent): RunStatus | null {
  const { states, reviews, to, isAppeal = false } = TRANSITIONS[event];
  if (isAppeal && status.appealed) return null;
  return states.includes(status.state) && reviews.includes(status.review) ? { ...status, ...to } : null;
}

/** The review state that a decision leads to. */
export function outcomeOf(decision: Decision): ReviewState {
  return TRANSITIONS[decision].to.review as ReviewState;
}
