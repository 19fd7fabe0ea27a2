import type { Channel, ColumnMap } from "../model.js";

/** Where in a log something was found. Lines and columns count from 1. */
export interface LogPlace {
  readonly line?: number;
  readonly column?: number;
}

export const LOG_ERROR_CODES = [
  "log-empty",
  "log-not-text",
  "log-damaged",
  "log-too-large",
  "log-shape-unknown",
  "log-header-missing",
  "log-column-missing",
  "log-column-ambiguous",
  "log-unit-missing",
  "log-direction-unknown",
  "log-several-discharges",
  "log-no-load",
  "log-over-range",
  "log-too-short",
] as const;
export type LogErrorCode = (typeof LOG_ERROR_CODES)[number];

export function isLogErrorCode(text: string): text is LogErrorCode {
  return (LOG_ERROR_CODES as readonly string[]).includes(text);
}

/** Column maps that settle what a log leaves open; each can be sent as it is. */
export interface ColumnProposal {
  /** Every channel that is settled already. */
  readonly columns: ColumnMap;
  /** The choices for the channel that is open, each with all that is settled. */
  readonly candidates: readonly { readonly channel: Channel; readonly columns: ColumnMap }[];
}

/**
 * A log that cannot be read. The message says what was seen and what its tester should change;
 * `places` say where. It is the tester's to mend, never a fault of the system.
 */
export class LogError extends Error {
  constructor(
    readonly code: LogErrorCode,
    message: string,
    readonly places: readonly (LogPlace & { readonly message: string })[] = [],
    readonly proposal: ColumnProposal | null = null,
  ) {
    super(message);
    this.name = "LogError";
  }
}

/** The refusal of a file without a character that shows. */
export const emptyLog = (): LogError =>
  new LogError(
    "log-empty",
    "The log is empty. Upload the file that the logger wrote, with its header row and samples.",
  );
