/** What is known of a tester, as it is stored. Times in ms since 1970. */
export interface TesterStanding {
  readonly vouchedAt: number | null;
  readonly establishedSince: number | null;
}

export const TESTER_STATUSES = ["new", "established", "settled", "vouched"] as const;
/**
 * - new: no record yet, or one that does not agree
 * - established: the record agrees with the reference testers'; the results make values
 * - settled: established for 180 days; a reference tester
 * - vouched: a moderator has vouched for the tester; a reference tester
 */
export type TesterStatus = (typeof TESTER_STATUSES)[number];

export const SETTLED_AFTER_DAYS = 180;
const DAY_MS = 86_400_000;

/** A tester's status at a time. Source: the design of this project, simulated, docs/records.md. */
export function statusAt({ vouchedAt, establishedSince }: TesterStanding, now: number): TesterStatus {
  if (vouchedAt !== null) return "vouched";
  if (establishedSince === null) return "new";
  return now - establishedSince >= SETTLED_AFTER_DAYS * DAY_MS ? "settled" : "established";
}

/** Whether others' records are judged by this tester's results. */
export const isReference = (status: TesterStatus): boolean => status === "vouched" || status === "settled";

/** Whether a tester's results make values. */
export const makesValues = (status: TesterStatus, { vouchedOnly }: { readonly vouchedOnly: boolean }): boolean =>
  vouchedOnly ? status === "vouched" : status !== "new";
