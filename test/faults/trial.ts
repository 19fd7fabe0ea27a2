import { checkRecord } from "./check-record.js";
import { Crowd } from "./crowd.js";
import { faultsOf, type Outcome } from "./scenario.js";
import { World, type WorldOptions } from "./world.js";

/** What a scenario did, and what it found itself. */
export interface Done {
  /** In words. */
  readonly done: string;
  /** Ids of runs that are rightly given up. */
  readonly givenUp?: readonly string[];
  readonly others?: readonly string[];
}

/** Lets a crowd use a service while `harm` is done to it, and holds the record against what the crowd was told. */
export async function trial(
  options: WorldOptions,
  harm: (world: World, crowd: Crowd) => Promise<Done>,
): Promise<Outcome> {
  const world = await World.start(options);
  let isClean = false;
  try {
    const crowd = new Crowd(world.url);
    await crowd.begin();
    const { done, givenUp = [], others = [] } = await harm(world, crowd);
    await crowd.end();
    const record = await checkRecord(world.direct, crowd.acknowledged, givenUp);
    const outcome = outcomeOf(crowd, record, { done, others });
    isClean = faultsOf(outcome).length === 0;
    return outcome;
  } finally {
    await world.stop(isClean);
  }
}

/** What a crowd was told beside what the record holds. */
export function outcomeOf(
  crowd: Crowd,
  { unfinished, ...record }: Awaited<ReturnType<typeof checkRecord>>,
  { done, kills = 0, others = [] }: Done & { readonly kills?: number },
): Outcome {
  const errors = crowd.serverErrors > 0 ? [`${crowd.serverErrors} answers 500`] : [];
  // What compares nothing finds nothing.
  const empty = record.standings === 0 ? ["no run was accepted: there is no standing to compare"] : [];
  return {
    ...record,
    done,
    kills,
    uploads: crowd.acknowledged.length,
    unanswered: crowd.late,
    longestSeconds: crowd.longestSeconds,
    others: [...others, ...errors, ...empty, ...unfinished.map((run) => `not evaluated: ${run}`)],
  };
}
