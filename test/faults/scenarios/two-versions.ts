import { cp, mkdtemp, readdir, readFile, rm, symlink, writeFile } from "node:fs/promises";
import { join } from "node:path";
import { setTimeout as delay } from "node:timers/promises";
import { Client } from "pg";
import { COMPUTATION_VERSION } from "../../../src/core/model.js";
import { projectRoot } from "../../../src/platform/config/project-root.js";
import { freePort, isReady } from "../../durability/network.js";
import { Program } from "../../durability/processes.js";
import { built } from "../../durability/trial-programs.js";
import type { Scenario } from "../scenario.js";
import { trial } from "../trial.js";
import { environmentOf, type World } from "../world.js";

const NEXT = COMPUTATION_VERSION + 1;
const ALONE_MS = 15_000;
const TOGETHER_MS = 45_000;
const LOOK_MS = 500;

/** A program that computes the next version begins beside the present one, on one record; later that one is killed. */
export const twoVersions: Scenario = {
  name: "two-versions",
  async run({ say }) {
    const root = await nextVersion();
    try {
      return await trial({}, async (world, crowd) => {
        await delay(ALONE_MS);
        const next = await startNext(world, root);
        try {
          crowd.alsoAsk(next.url);
          say(`version ${NEXT} of the computation began beside version ${COMPUTATION_VERSION}`);
          await delay(TOGETHER_MS);
          crowd.askOnly(next.url);
          await world.service.kill();
          await world.worker.kill();
          say(`version ${COMPUTATION_VERSION} was killed`);
          await delay(ALONE_MS);
          await crowd.end();
          const others = await notSwitched(world.direct);
          return {
            done: `versions ${COMPUTATION_VERSION} and ${NEXT} of the computation side by side, then the newer one alone`,
            others,
          };
        } finally {
          await next.program.kill();
        }
      });
    } finally {
      await rm(root, { recursive: true });
    }
  },
};

/** The build with a higher version of the computation, in a folder of its own. */
async function nextVersion(): Promise<string> {
  const root = await mkdtemp(join(projectRoot, ".faults-"));
  for (const name of await readdir(projectRoot)) {
    if (!/^\.|^dist$/.test(name)) await symlink(join(projectRoot, name), join(root, name));
  }
  await cp(join(projectRoot, "dist"), join(root, "dist"), { recursive: true });
  const file = join(root, "dist", "src", "core", "model.js");
  const text = await readFile(file, "utf8");
  const changed = text.replace(/COMPUTATION_VERSION = \d+/, `COMPUTATION_VERSION = ${NEXT}`);
  if (changed === text) throw new Error(`${file} does not say which version it computes`);
  await writeFile(file, changed);
  return root;
}

async function startNext(world: World, root: string): Promise<{ readonly url: string; readonly program: Program }> {
  const url = `http://127.0.0.1:${await freePort()}`;
  const environment = environmentOf(world.way.connectionString, url);
  const program = new Program(built("main.js", root), environment, join(world.folder, "next.log"), () => isReady(url));
  await program.start();
  return { url, program };
}

/** Runs whose evaluation is not the next version's in the end, and versions that are not active. */
async function notSwitched(connectionString: string): Promise<string[]> {
  const client = new Client({ connectionString });
  await client.connect();
  try {
    for (;;) {
      const { rows } = await client.query<{ left: number }>(
        "SELECT count(*)::int AS left FROM graphile_worker.jobs WHERE run_at < now() + interval '1 minute' AND attempts < max_attempts",
      );
      if (rows[0]?.left === 0) break;
      await delay(LOOK_MS);
    }
    const { rows } = await client.query<{ what: string }>(
      `SELECT 'run ' || run.id || ' has version ' || evaluation.computation_version AS what
       FROM run JOIN evaluation ON evaluation.id = run.current_evaluation_id WHERE evaluation.computation_version <> $1
       UNION ALL SELECT 'active of ' || protocol_key || ' is version ' || computation_version FROM active_version
       WHERE computation_version <> $1 AND protocol_key = 'full-load'`,
      [NEXT],
    );
    return rows.map(({ what }) => what);
  } finally {
    await client.end();
  }
}
