import { endWithParent } from "./parent.js";

/** How long a program has to end in order when the one that has started it beside itself is gone, ms. */
const END_WITHIN_MS = 10_000;

export interface RunningProgram {
  stop(): Promise<void>;
  /** What it does once it runs; a fault in it stops the program. */
  work?(): Promise<void>;
}

/**
 * Starts a program and ends it in order at Ctrl-C, at the system's wish, or with the program that has started it beside itself. A fault is
 * told in one sentence; LOG_LEVEL=debug shows where it came from.
 */
export async function runUntilSignal(start: () => Promise<RunningProgram>): Promise<void> {
  let isStopping = false;
  // Until it has started there is nothing to be ended in order.
  let endNow = (): void => process.exit(0);
  endWithParent(() => endNow());
  try {
    const program = await start();
    const end = (exitCode: number) => {
      if (isStopping) return;
      isStopping = true;
      program.stop().then(() => process.exit(exitCode), fail);
    };
    for (const signal of ["SIGINT", "SIGTERM", "SIGHUP"] as const) process.on(signal, () => end(0));
    endNow = () => {
      end(0);
      // Nobody waits for it, and the next one does its jobs.
      setTimeout(() => process.exit(1), END_WITHIN_MS).unref();
    };
    if (process.env.npm_lifecycle_event) whenParentIsGone(() => end(0));
    await program.work?.().catch((error: unknown) => {
      // What is cut short because the program stops is no fault.
      if (isStopping) return;
      report(error);
      end(1);
    });
  } catch (error) {
    fail(error);
  }
}

/** npm passes a signal to its shell alone, which ends and leaves its program behind: the program then ends too. */
function whenParentIsGone(end: () => void): void {
  const parent = process.ppid;
  setInterval(() => {
    if (process.ppid !== parent) end();
  }, 250).unref();
}

function fail(error: unknown): never {
  report(error);
  process.exit(1);
}

function report(error: unknown): void {
  const isDebugging = process.env.LOG_LEVEL === "debug";
  console.error(error instanceof Error && !isDebugging ? `Error: ${error.message}` : error);
}
