import { setTimeout as delay } from "node:timers/promises";
import { Client } from "pg";
import { logNumber } from "../../durability/league-logs.js";
import type { Scenario } from "../scenario.js";
import { trial } from "../trial.js";

/** How often it is looked whether the worker is at the log, and how it stands, ms. */
const LOOK_MS = 100;

/**
 * A worker is ended by SIGKILL whenever it is at one of the logs, as the kernel ends a program that takes too much memory, and is started again
 * each time.
 */
export const deadlyLog: Scenario = {
  name: "deadly-log",
  run({ say }) {
    return trial({}, async ({ worker, direct }, crowd) => {
      const client = new Client({ connectionString: direct });
      await client.connect();
      const id = await crowd.upload(crowd.first, 0, `# deadly\n${logNumber(1_000_000, 1_300)}`);
      let last: string | null = null;
      for (let deaths = 0; ; ) {
        const { by, state } = await look(client, id);
        if (state === "failed" || state === "processed") {
          await client.end();
          const done = `a worker ended ${deaths} times at one log, and did the others meanwhile`;
          return {
            done,
            givenUp: [id],
            others: state === "failed" ? [] : ["the log was evaluated: the worker did not end"],
          };
        }
        // It stays the job of one that was ended until another one gives it back.
        if (by !== null && by !== last) {
          last = by;
          await worker.kill();
          say(`ended ${++deaths} times`);
          await worker.start();
        }
        await delay(LOOK_MS);
      }
    });
  },
};

/** Which worker is at a run, and what has become of it. The last try is none: it only says that no other follows. */
async function look(client: Client, id: string): Promise<{ readonly by: string | null; readonly state: string }> {
  const { rows } = await client.query<{ by: string | null; state: string }>(
    `SELECT state, (SELECT locked_by FROM graphile_worker.jobs WHERE key = 'evaluate-run:' || run.id AND attempts < max_attempts) AS by
     FROM run WHERE id = $1`,
    [id],
  );
  return rows[0] ?? { by: null, state: "gone" };
}
