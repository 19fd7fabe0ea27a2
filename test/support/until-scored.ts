import { setTimeout as delay } from "node:timers/promises";
import { ScoresRepository } from "../../src/features/reviews/queue/scores.repository.js";
import type { TestApp } from "./app.js";

/** Waits until every run that waits for a moderator has its score: what changes is scored by a job, within a second where nothing else is at work. */
export async function untilScored({ nest }: Pick<TestApp, "nest">): Promise<void> {
  while (await nest.get(ScoresRepository).isLeft()) await delay(50);
}
