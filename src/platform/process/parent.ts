/** What a process asks the program that it has started beside itself (`child-program.ts`). */
export interface Question {
  readonly number: number;
  readonly question: string;
}

export interface Answer {
  readonly number: number;
  readonly answer: unknown;
}

/**
 * Answers what this program is asked by the one that has started it beside itself, if one has.
 *
 * @param answers by question; what they answer is sent as JSON
 */
export function answerParent(answers: Readonly<Record<string, () => Promise<unknown>>>): void {
  if (!process.connected) return;
  process.on("message", async ({ number, question }: Question) => {
    const answer: Answer = { number, answer: (await answers[question]?.()) ?? null };
    // The other may have ended: then this program ends as well.
    process.send?.(answer, undefined, undefined, () => {});
  });
}

/** Ends this program with the one that has started it beside itself, if one has; that may have ended before this is called. */
export function endWithParent(end: () => void): void {
  if (!process.send) return;
  if (process.connected) process.once("disconnect", end);
  else end();
}
