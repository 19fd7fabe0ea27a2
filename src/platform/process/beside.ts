/** What a process asks the program that it has started beside itself (`companion.ts`). */
export interface Question {
  readonly number: number;
  readonly question: string;
}

export interface Answer {
  readonly number: number;
  readonly answer: unknown;
}

export interface Ready {
  readonly ready: true;
}

/**
 * Says that this program works, and answers what it is asked, when another has started it beside itself; else it does nothing.
 *
 * @param answers by question; what they answer is sent as JSON
 */
export function workBeside(answers: Readonly<Record<string, () => Promise<unknown>>>): void {
  if (!process.connected) return;
  process.on("message", async ({ number, question }: Question) => {
    const answer = (await answers[question]?.()) ?? null;
    send({ number, answer } satisfies Answer);
  });
  send({ ready: true } satisfies Ready);
}

/** Ends this program with the one that has started it beside itself, if one has; that may have ended before this is called. */
export function endWithStarter(end: () => void): void {
  if (!process.send) return;
  if (process.connected) process.once("disconnect", end);
  else end();
}

function send(message: Answer | Ready): void {
  // The other may have ended: then this program ends as well.
  process.send?.(message, undefined, undefined, () => {});
}
