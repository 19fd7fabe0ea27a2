const PATIENCE_MS = 5_000;

/**
 * Asks a service, or a worker of its own, whether it is ready; says what it waits for where it is not.
 *
 * @param server origin of the service
 * @returns the exit code
 */
export async function health({ server }: { readonly server: string }): Promise<0 | 1> {
  try {
    const answer = await fetch(`${server}/health/ready`, { signal: AbortSignal.timeout(PATIENCE_MS) });
    const body = (await answer.json()) as { status?: unknown; detail?: unknown };
    if (answer.ok) {
      console.log(`${server} is ready.`);
      return 0;
    }
    console.log(`${server} is not ready. ${String(body.detail ?? "")}`);
  } catch (error) {
    console.log(`${server} does not answer: ${error instanceof Error ? error.message : String(error)}.`);
  }
  return 1;
}
