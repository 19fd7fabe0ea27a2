import { createInterface } from "node:readline";
import { Writable } from "node:stream";
import { UsageError } from "../usage-error.js";

/** Asks questions at the terminal, or takes the answers from a pipe, a line each. */
export class Questioner {
  private isSecret = false;
  private hasEnded = false;
  private readonly output = new Writable({
    write: (chunk: Buffer, _encoding, done) => {
      if (!this.isSecret) process.stderr.write(chunk);
      done();
    },
  });
  private readonly lines = createInterface({
    input: process.stdin,
    output: this.output,
    terminal: process.stdin.isTTY,
  });
  private readonly answers = this.lines[Symbol.asyncIterator]();

  constructor() {
    this.lines.once("close", () => {
      this.hasEnded = true;
    });
  }

  async ask(question: string): Promise<string> {
    // A pipe may have ended with answers that are still to be taken.
    if (this.hasEnded) process.stderr.write(question);
    else {
      this.lines.setPrompt(question);
      this.lines.prompt();
    }
    return this.answer();
  }

  /** What is typed is not shown. */
  async askSecret(question: string): Promise<string> {
    process.stderr.write(question);
    this.isSecret = true;
    this.lines.setPrompt("");
    try {
      return await this.answer();
    } finally {
      this.isSecret = false;
      process.stderr.write("\n");
    }
  }

  close(): void {
    this.lines.close();
  }

  private async answer(): Promise<string> {
    const { done, value } = await this.answers.next();
    if (done) throw new UsageError("Nothing was typed.");
    return value;
  }
}
