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
  } catch (error) {
    fail(error);
  }
}

function fail(error: unknown): never {
  const isDebugging = process.env.LOG_LEVEL === "debug";
  console.error(error instanceof Error && !isDebugging ? `Error: ${error.message}` : error);
  process.exit(1);
}
