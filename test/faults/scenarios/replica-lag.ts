import { join } from "node:path";
import { setTimeout as delay } from "node:timers/promises";
import { freePort, isReady } from "../../durability/network.js";
import { Program } from "../../durability/processes.js";
import { built } from "../../durability/trial-programs.js";
import type { Scenario } from "../scenario.js";
import { trial } from "../trial.js";
import { environmentOf, type World } from "../world.js";
import { WriterAndStranger } from "../writer-and-stranger.js";

const TIMES = 4;
const HARM_MS = 5_000;
const WELL_MS = 3_000;
/** How much later the replica's answers come, ms: later than a read waits for it, and so little later that it waits. */
const DELAYS_MS = [10, 200];

/** A replica shows nothing new, is killed, hard to reach, or goes silent, while two services on one record read from it. */
export const replicaLag: Scenario = {
  name: "replica-lag",
  run({ say }) {
    return trial({ hasReplica: true }, async (world, crowd) => {
      const second = await startSecond(world);
      try {
        crowd.alsoAsk(second.url);
        const pair = new WriterAndStranger([world.url, second.url], crowd.first.token);
        pair.start();
        await harm(world, say);
        const { faults, looks } = await pair.end();
        const { replica, primary } = await readsOf(world.url);
        const others = replica > 0 ? faults : [...faults, "the replica answered nobody"];
        const share = `the replica answered ${replica} of ${replica + primary} reads of strangers at the first service`;
        say(`${looks} times written and looked for at once by a stranger at the other service; ${share}`);
        return {
          done: `replay held up ${TIMES} times and the replica killed ${TIMES} times for ${HARM_MS / 1_000} s, ${DELAYS_MS.join(" and ")} ms further away, silent once; ${looks} writes looked for at once, ${share}`,
          others,
        };
      } finally {
        await second.program.kill();
      }
    });
  },
};

async function harm({ replica: { standby, way } }: World, say: (line: string) => void): Promise<void> {
  for (let n = 0; n < TIMES; n++) {
    await delay(WELL_MS);
    await standby.pause();
    await delay(HARM_MS);
    await standby.resume();
  }
  say(`replay held up ${TIMES} times`);
  for (let n = 0; n < TIMES; n++) {
    await delay(WELL_MS);
    await standby.kill();
    await delay(HARM_MS);
    await standby.start();
  }
  say(`the replica killed ${TIMES} times`);
  for (const delayMs of DELAYS_MS) {
    way.delayMs = delayMs;
    await delay(HARM_MS);
  }
  way.restore();
  await delay(WELL_MS);
  way.goAway();
  await delay(HARM_MS);
  way.restore();
  await delay(WELL_MS);
  say("hard to reach, and silent");
}

async function startSecond(world: World): Promise<{ readonly program: Program; readonly url: string }> {
  const url = `http://127.0.0.1:${await freePort()}`;
  const settings = { RUN_JOBS: "false", REPLICA_URL: world.replica.way.connectionString };
  const environment = environmentOf(world.way.connectionString, url, settings);
  const program = new Program(built("main.js"), environment, join(world.folder, "second.log"), () => isReady(url));
  await program.start();
  return { program, url };
}

/** Reads of strangers that a replica might have answered, by what did. */
async function readsOf(url: string): Promise<{ readonly replica: number; readonly primary: number }> {
  const text = await (await fetch(`${url}/metrics`)).text();
  const count = (source: string) =>
    Number(new RegExp(`^packledger_replica_reads_total\\{source="${source}"\\} (\\d+)`, "m").exec(text)?.[1] ?? 0);
  return { replica: count("replica"), primary: count("primary") };
}
