import { setTimeout as delay } from "node:timers/promises";
import { Client } from "pg";

const LOOK_MS = 30;

/** Waits until a service has done all that follows from what it was asked, but what is put off for more than a minute. */
export async function untilIdle(connectionString: string): Promise<void> {
  const client = new Client({ connectionString });
  await client.connect();
  try {
    while (await isAtWork(client)) await delay(LOOK_MS);
  } finally {
    await client.end();
  }
}

async function isAtWork(client: Client): Promise<boolean> {
  const { rows } = await client.query<{ atWork: boolean }>(`
    SELECT EXISTS (SELECT FROM graphile_worker.jobs WHERE attempts > 0 OR run_at < now() + interval '1 minute')
      OR EXISTS (SELECT FROM review_score_due) OR EXISTS (SELECT FROM review_score WHERE stale) AS "atWork"`);
  return rows[0]?.atWork === true;
}
