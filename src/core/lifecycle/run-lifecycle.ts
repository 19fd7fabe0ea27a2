/** What the service has done with a run: queued, being evaluated, evaluated, or found unreadable. */
export const RUN_STATES = ["queued", "processing", "processed", "failed"] as const;
export type RunState = (typeof RUN_STATES)[number];

/** What people have decided about a run. Only accepted runs are public and enter standings. */
export const REVIEW_STATES = ["pending", "info-requested", "accepted", "rejected", "withdrawn"] as const;
export type ReviewState = (typeof REVIEW_STATES)[number];

export const DECISIONS = ["accept", "reject", "request-info"] as const;
export type Decision = (typeof DECISIONS)[number];

/** A tester's reply to a decision: an answer to a request for information, or one appeal against a rejection. */
export const REPLIES = ["answer", "appeal"] as const;
export type Reply = (typeof REPLIES)[number];

/** A decision is taken back, to where the run stood before it. */
export const UNDOINGS = ["undo-to-pending", "undo-to-info-requested", "undo-to-accepted", "undo-to-rejected"] as const;
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
  "revoke-acceptance",
  // The tester answers with another run, and this one is withdrawn in its favour.
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

export const NEW_RUN: RunStatus = { state: "queued", review: "pending", appealed: false };

interface Transition {
  readonly states: readonly RunState[];
  readonly reviews: readonly ReviewState[];
  readonly to: Partial<RunStatus>;
  /** May happen once in the run's life. */
  readonly isAppeal?: true;
}

const UNDECIDED: readonly ReviewState[] = ["pending", "info-requested"];
const EVALUATED: readonly RunState[] = ["processed", "failed"];
const DECIDABLE: readonly ReviewState[] = ["pending", "info-requested", "accepted", "rejected"];

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
  retry: { states: ["failed"], reviews: UNDECIDED, to: { state: "queued", review: "pending" } },
  accept: { states: ["processed"], reviews: ["pending", "info-requested", "rejected"], to: { review: "accepted" } },
  reject: {
    states: ["processed", "failed"],
    reviews: ["pending", "info-requested", "accepted"],
    to: { review: "rejected" },
  },
  "request-info": { states: ["processed", "failed"], reviews: UNDECIDED, to: { review: "info-requested" } },
  answer: { states: EVALUATED, reviews: ["info-requested"], to: { review: "pending" } },
  appeal: { states: EVALUATED, reviews: ["rejected"], to: { review: "pending", appealed: true }, isAppeal: true },
  "undo-to-pending": {
    states: EVALUATED,
    reviews: ["info-requested", "accepted", "rejected"],
    to: { review: "pending" },
  },
  "undo-to-info-requested": {
    states: EVALUATED,
    reviews: ["info-requested", "accepted", "rejected"],
    to: { review: "info-requested" },
  },
  "undo-to-accepted": { states: ["processed"], reviews: ["rejected"], to: { review: "accepted" } },
  "undo-to-rejected": { states: ["processed"], reviews: ["accepted"], to: { review: "rejected" } },
  // Another version of the protocol or of the computation is active, and under it the run does not conform.
  "revoke-acceptance": { states: ["processed"], reviews: ["accepted"], to: { review: "pending" } },
  replace: { states: EVALUATED, reviews: ["info-requested"], to: { review: "withdrawn" } },
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
