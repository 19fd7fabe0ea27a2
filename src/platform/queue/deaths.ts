import { MAX_ATTEMPTS } from "./add-job.js";

/** So many workers may end while they do one job; then the job counts as what ends them, and is not tried again. */
export const MAX_DEATHS = 8;

/** Another try follows the first death at once, since whoever stops a machine ends what is at hand too. */
const DEATHS_WITHOUT_PAUSE = 1;

/** How many workers have ended while they did a job. Each of them has given it one try more than it had. */
export function deathsOf({ maxAttempts }: { readonly maxAttempts: number }): number {
  return Math.max(0, maxAttempts - MAX_ATTEMPTS);
}

/** How long a job waits after so many deaths, s: about eight minutes together, in which the workers do everything else. */
export function pauseAfterDeaths(deaths: number): number {
  return deaths <= DEATHS_WITHOUT_PAUSE ? 0 : 2 ** deaths;
}

/** A job is not done any more, since workers ended while they did it. */
export class EndsWorkers extends Error {
  override readonly name = "EndsWorkers";

  constructor() {
    super(`${MAX_DEATHS} workers ended while they did this job; it is not tried again`);
  }
}
