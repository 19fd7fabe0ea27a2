/**
 * Starts a program and ends it in order at Ctrl-C or at the system's wish. `start` gives what stops it. A fault is told
 * in one sentence; LOG_LEVEL=debug shows where it came from.
 */
export async function runUntilSignal(start: () => Promise<() => Promise<void>>): Promise<void> {
  try {
    const stop = await start();
    let isStopping = false;
    const end = () => {
      if (isStopping) return;
      isStopping = true;
      stop().then(() => process.exit(0), fail);
    };
    for (const signal of ["SIGINT", "SIGTERM", "SIGHUP"] as const) process.on(signal, end);
    if (process.env.npm_lifecycle_event) whenParentIsGone(end);
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
  const isDebugging = process.env.LOG_LEVEL === "debug";
  console.error(error instanceof Error && !isDebugging ? `Error: ${error.message}` : error);
  process.exit(1);
}
