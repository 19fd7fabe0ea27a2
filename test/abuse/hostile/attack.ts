/** What a hostile stranger does to the service. */
export interface Attack {
  readonly name: string;
  /** Does it to the service at an address such as `http://127.0.0.1:3000`, and ends by itself. */
  attack(base: string): Promise<Outcome>;
}

export interface Outcome {
  /** How often each answer came: a status with its problem's code, the code with which a socket was closed, or an error of the connection. */
  readonly answers: Readonly<Record<string, number>>;
}

/** Counts answers under their names. */
export class Answers {
  private readonly counts = new Map<string, number>();

  add(answer: string): void {
    this.counts.set(answer, (this.counts.get(answer) ?? 0) + 1);
  }

  outcome(): Outcome {
    return { answers: Object.fromEntries(this.counts) };
  }
}
