import { createServer } from "node:net";
import { isNativeError } from "node:util/types";

/** Whether `fetch` failed because nobody answered, or no longer. Under jest its errors come from another realm. */
export function isUnanswered(error: unknown): boolean {
  return isNativeError(error) && error.name === "TypeError" && error.cause !== undefined;
}

/** Whether a service answers that it can be asked. */
export async function isReady(url: string): Promise<boolean> {
  try {
    return (await fetch(`${url}/health/ready`)).ok;
  } catch (error) {
    // Nobody listens yet.
    if (isUnanswered(error)) return false;
    throw error;
  }
}

/** A port of the loopback address that nobody listens on. */
export function freePort(): Promise<number> {
  return new Promise((resolve, reject) => {
    const server = createServer();
    server.once("error", reject);
    server.listen(0, "127.0.0.1", () => {
      const address = server.address();
      server.close(() => resolve(typeof address === "object" && address ? address.port : 0));
    });
  });
}
