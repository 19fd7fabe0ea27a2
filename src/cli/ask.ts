import { createInterface } from "node:readline/promises";
import { Writable } from "node:stream";
import { UsageFault } from "./faults.js";

/** Asks for a line at the terminal, or takes it from a pipe. */
export async function ask(question: string): Promise<string> {
  return answerTo(question, process.stderr);
}

/** Asks for a line that is not shown while it is typed. */
export async function askSecret(question: string): Promise<string> {
  process.stderr.write(question);
  const nowhere = new Writable({ write: (_chunk, _encoding, done) => done() });
  try {
    return await answerTo("", nowhere);
  } finally {
    process.stderr.write("\n");
  }
}

async function answerTo(question: string, output: Writable): Promise<string> {
  const lines = createInterface({ input: process.stdin, output, terminal: process.stdin.isTTY });
  try {
    const ended = new Promise<never>((_, reject) => {
      lines.once("close", () => reject(new UsageFault("Nothing was typed.")));
    });
    return await Promise.race([lines.question(question), ended]);
  } finally {
    lines.close();
  }
}
