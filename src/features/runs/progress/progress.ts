/** What becomes of an upload, step by step, until its figures or its fault are in the record. */
export const STAGES = ["queued", "reading", "computing", "storing", "processed", "failed"] as const;
export type Stage = (typeof STAGES)[number];

/** How far the evaluation of a run has come: bytes of its log as sent that were read, of how many. */
export interface RunProgress {
  readonly stage: Stage;
  readonly done: number;
  readonly total: number;
}

export function isOver({ stage }: Pick<RunProgress, "stage">): boolean {
  return stage === "processed" || stage === "failed";
}

/** The stage that a run's state in the record stands for. */
export const STAGE_OF_STATE = {
  queued: "queued",
  processing: "reading",
  processed: "processed",
  failed: "failed",
} as const satisfies Record<string, Stage>;

/** What the record alone tells of a run's progress. */
export function progressOfState(state: keyof typeof STAGE_OF_STATE, bytes: number): RunProgress {
  const stage = STAGE_OF_STATE[state];
  const isBefore = stage === "queued" || stage === "reading";
  return { stage, done: isBefore ? 0 : bytes, total: bytes };
}
