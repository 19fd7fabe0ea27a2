import { Problem } from "../../../platform/problems/problem.js";

/**
 * What is answered where a run is no longer, or not yet, in the state that a decision needs.
 *
 * @param status the run's, in words
 */
export function notPossible(status: string): Problem {
  return new Problem("decision-not-possible", `The run is ${status}; this cannot be done with it now.`);
}
