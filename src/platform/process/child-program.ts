import { type ChildProcess, fork } from "node:child_process";
import { once } from "node:events";
import { writeFile } from "node:fs/promises";
import { getPriority, setPriority } from "node:os";
import { setTimeout as delay } from "node:timers/promises";
import type { Answer, Question } from "./parent.js";

/** By how much it gives way to this process: steps of the nice value, of which the highest is 19 (setpriority(2)). */
const GIVES_WAY_BY = 15;
const MAX_NICE = 19;
/**
 * The C library's allocator keeps what threads free in arenas, by default eight a core, for those threads alone (mallopt(3), M_ARENA_MAX).
 * Where all threads share one, a program of many threads stays smaller.
 */
const ONE_ARENA = { MALLOC_ARENA_MAX: "1" };
/** Between its end and its next start, ms. */
const START_AGAIN_MS = 500;
/** How long it has to end in order, ms. */
const END_WITHIN_MS = 10_000;
/** How long it has for an answer, ms. */
const ANSWER_WITHIN_MS = 1_000;

/**
 * Another program of the build beside this one, at a lower priority: begun again whenever it ends, and ended with this process. It
 * gets this process's options of Node, options of its own after them, and this process's arguments. It is a session of its own, since Linux gives processor time to sessions first and to
 * the processes of each then (sched(7), "The autogroup feature"): in this process's session, its work would count as this process's,
 * which would wait for those of others, as the database's, all the same.
 */
export class ChildProgram {
  private process: ChildProcess | undefined;
  private isStopping = false;
  private readonly questions = new Map<number, (answer: unknown) => void>();
  private asked = 0;
  private readonly running: Promise<void>;

  /**
   * @param script its file
   * @param name for messages
   * @param environment all variables that it gets; one arena of memory, where it does not say how many
   * @param nodeOptions options of Node of its own
   */
  constructor(
    private readonly script: string,
    private readonly name: string,
    private readonly environment: NodeJS.ProcessEnv,
    private readonly nodeOptions: readonly string[] = [],
  ) {
    this.running = this.keepRunning();
  }

  /** Its number; none between two starts. */
  get pid(): number | undefined {
    return this.process?.pid;
  }

  /** What it answers, within a second; null where it does not, as before it works. */
  async ask(question: string): Promise<unknown> {
    if (!this.process?.connected) return null;
    const number = ++this.asked;
    const answered = new Promise<unknown>((resolve) => this.questions.set(number, resolve));
    this.process.send({ number, question } satisfies Question, () => {});
    try {
      return await Promise.race([answered, delay(ANSWER_WITHIN_MS, null, { ref: false })]);
    } finally {
      this.questions.delete(number);
    }
  }

  /** Ends it, in order when it ends in time. */
  async stop(): Promise<void> {
    this.isStopping = true;
    this.process?.kill("SIGTERM");
    const late = setTimeout(() => this.process?.kill("SIGKILL"), END_WITHIN_MS);
    await this.running;
    clearTimeout(late);
  }

  private async keepRunning(): Promise<void> {
    while (!this.isStopping) {
      const how = await this.run();
      if (this.isStopping) return;
      console.error(`The ${this.name} ended (${how}) and is started again.`);
      await delay(START_AGAIN_MS);
    }
  }

  /** Resolves with how it ended. */
  private async run(): Promise<string> {
    const started = fork(this.script, process.argv.slice(2), {
      env: { ...ONE_ARENA, ...this.environment },
      execArgv: [...process.execArgv, ...this.nodeOptions],
      // On Windows this would open a window.
      detached: process.platform !== "win32",
    });
    this.process = started;
    started.on("message", ({ number, answer }: Answer) => this.questions.get(number)?.(answer));
    started.once("spawn", () => {
      if (started.pid !== undefined) giveWay(started.pid);
    });
    try {
      const [code, signal] = await once(started, "exit");
      return signal ?? `exit code ${code}`;
    } catch (error) {
      return String(error);
    }
  }
}

function giveWay(pid: number): void {
  const nice = Math.min(getPriority() + GIVES_WAY_BY, MAX_NICE);
  try {
    setPriority(pid, nice);
  } catch (error) {
    // It may have ended already.
    if ((error as NodeJS.ErrnoException).code !== "ERR_SYSTEM_ERROR") throw error;
  }
  // Its session's, among the others. Not every system has it, lets it be written or has the process yet; its own value holds then.
  writeFile(`/proc/${pid}/autogroup`, String(nice), { flag: "r+" }).catch(() => {});
}
