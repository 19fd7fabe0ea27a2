import { CredentialEnded } from "../../auth/open-streams.js";

/**
 * Events as the HTML standard writes them (9.2, server-sent events); a sign of life is a comment, and so is why the stream ends
 * where its session or key did.
 *
 * @param events null is a sign of life
 * @param idOf what a client that connects again names as the last event it saw; null where an event has none
 */
export async function* asServerSentEvents<T extends object>(
  events: AsyncGenerator<T | null, void, undefined>,
  idOf: (event: T) => string | null,
): AsyncGenerator<string> {
  try {
    for await (const event of events) {
      const id = event && idOf(event);
      yield event ? `${id ? `id: ${id}\n` : ""}data: ${JSON.stringify(event)}\n\n` : ": still here\n\n";
    }
  } catch (error) {
    if (!(error instanceof CredentialEnded)) throw error;
    yield ": the session or key has ended\n\n";
  }
}
