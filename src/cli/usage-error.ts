/** Something that the person at the keyboard can mend; shown as one sentence, without a stack. */
export class UsageError extends Error {
  override readonly name = "UsageError";
}

/** What a command answers to the shell. */
export const EXIT = { allConform: 0, someDoNotConform: 1, someFailed: 2 } as const;
export type ExitCode = (typeof EXIT)[keyof typeof EXIT];

/** The worst of several outcomes. */
export function worst(codes: readonly ExitCode[]): ExitCode {
  return Math.max(EXIT.allConform, ...codes) as ExitCode;
}

export function sentenceOf(error: unknown): string {
  return error instanceof Error ? error.message : String(error);
}
