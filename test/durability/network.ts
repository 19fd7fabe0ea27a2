import { isNativeError } from "node:util/types";

/** Whether `fetch` failed because nobody answered, or no longer. Under jest its errors come from another realm. */
export function isUnanswered(error: unknown): boolean {
  return isNativeError(error) && error.name === "TypeError" && error.cause !== undefined;
}
