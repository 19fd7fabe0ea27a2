/** The signals that ask a program to end, with what a shell is told by one that did. */
const ENDS = { SIGHUP: 129, SIGINT: 130, SIGTERM: 143 } as const;

/**
 * Asks a database server to end when this process does: it has a session of its own, which Ctrl-C does not reach. A
 * process that nothing else ends in order at a signal ends by this, with the status that a shell expects.
 *
 * @param pid of the server's first process
 * @returns what forgets the server, once it has ended or somebody else stops it
 */
export function endWithProcess(pid: number): () => void {
  // PostgreSQL 18, 18.5: at SIGINT it ends what its clients do, flushes its data and ends.
  const endServer = () => {
    try {
      process.kill(pid, "SIGINT");
    } catch (error) {
      if ((error as NodeJS.ErrnoException).code !== "ESRCH") throw error;
    }
  };
  process.on("exit", endServer);
  const listeners = Object.entries(ENDS).map(([signal, status]) => {
    const end = () => {
      if (process.listenerCount(signal) === 1) process.exit(status);
    };
    process.on(signal, end);
    return () => process.off(signal, end);
  });
  return () => {
    process.off("exit", endServer);
    for (const forget of listeners) forget();
  };
}
