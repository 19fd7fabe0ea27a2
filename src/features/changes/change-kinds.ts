/** What of the record changes are told of. */
export const CHANGE_KINDS = ["pack", "run", "tester", "standings"] as const;
export type ChangeKind = (typeof CHANGE_KINDS)[number];

export const CHANGE_EVENTS = [
  "registered",
  "accepted",
  "changed",
  "rejected",
  "reopened",
  "withdrawn",
  "hidden",
  "shown",
  "merged",
  "unmerged",
  "erased",
] as const;
export type ChangeEvent = (typeof CHANGE_EVENTS)[number];

/** What a change leaves to be read of its subject. */
export const CHANGE_STATES = ["current", "removed", "superseded"] as const;
export type ChangeState = (typeof CHANGE_STATES)[number];
