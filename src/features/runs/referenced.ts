import { Problem } from "../../platform/problems/problem.js";

/** What an input refers to; when there is no such thing, the fault is the input's. */
export async function referenced<T>(pointer: string, found: Promise<T>): Promise<T> {
  try {
    return await found;
  } catch (error) {
    if (!(error instanceof Problem) || error.code !== "not-found") throw error;
    throw new Problem("unknown-reference", `${error.detail} Send the id of one that exists and is yours.`, {
      errors: [{ pointer, message: "names nothing of yours" }],
    });
  }
}
