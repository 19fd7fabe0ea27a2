/** What the service has done with a run: queued, being evaluated, evaluated, or found unreadable. */
export const RUN_STATES = ["queued", "processing", "processed", "failed"] as const;
export type RunState = (typeof RUN_STATES)[number];

/** What people have decided about a run. Only accepted runs are public and count. */
export const REVIEW_STATES = ["waiting", "asked", "accepted", "rejected", "withdrawn"] as const;
export type ReviewState = (typeof REVIEW_STATES)[number];

export const DECISIONS = ["accept", "reject", "ask"] as const;
export type Decision = (typeof DECISIONS)[number];

/** Everything that can happen to a run. */
export const RUN_EVENTS = ["start", "restart", "finish", "fail", "retry", ...DECISIONS, "withdraw"] as const;
export type RunEvent = (typeof RUN_EVENTS)[number];

export interface RunStatus {
  readonly state: RunState;
  readonly review: ReviewState;
}

export const NEW_RUN: RunStatus = { state: "queued", review: "waiting" };

interface Transition {
  readonly states: readonly RunState[];
  readonly reviews: readonly ReviewState[];
  readonly to: Partial<RunStatus>;
}

const UNDECIDED: readonly ReviewState[] = ["waiting", "asked"];
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
  retry: { states: ["failed"], reviews: UNDECIDED, to: NEW_RUN },
  accept: { states: ["processed"], reviews: ["waiting", "asked", "rejected"], to: { review: "accepted" } },
  reject: { states: ["processed", "failed"], reviews: ["waiting", "asked", "accepted"], to: { review: "rejected" } },
  ask: { states: ["processed", "failed"], reviews: UNDECIDED, to: { review: "asked" } },
  withdraw: { states: RUN_STATES, reviews: DECIDABLE, to: { review: "withdrawn" } },
};

/** The status after an event, or null when the event may not happen then. */
export function after(status: RunStatus, event: RunEvent): RunStatus | null {
  const { states, reviews, to } = TRANSITIONS[event];
  return states.includes(status.state) && reviews.includes(status.review) ? { ...status, ...to } : null;
}
