import { type ChildProcess, spawn } from "node:child_process";
import { randomUUID } from "node:crypto";
import { once } from "node:events";
import { mkdtemp, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { Client } from "pg";
import { createRandom } from "../../../seed/simulator/random.js";
import { type EmbeddedServer, startEmbeddedServer } from "../../../src/platform/database/embedded/embedded-server.js";
import { prepareDatabase } from "../../../src/prepare-database.js";
import { schemaContents } from "../../durability/schema-contents.js";
import { built } from "../../durability/trial-programs.js";
import { startCuttingProxy } from "../../support/cutting-proxy.js";
import type { Scenario } from "../scenario.js";

/** Of all kills so many are of migrations. */
export const MIGRATION_SHARE = 0.2;

/** A first start is killed at a random message to the database; the next one has to make what an undisturbed one makes. */
export const killedMigrations: Scenario = {
  name: "killed-migrations",
  async run({ kills: all, seed, say }) {
    const kills = Math.round(all * MIGRATION_SHARE);
    const folder = await mkdtemp(join(tmpdir(), "packledger-faults-"));
    const server = await startEmbeddedServer(folder);
    try {
      const random = createRandom(seed);
      const whole = await undisturbed(server);
      const others: string[] = [];
      for (let kill = 1; kill <= kills; kill++) {
        const message = 1 + Math.floor(random.uniform() * whole.messages);
        const found = await killedAt(server, message);
        if (JSON.stringify(found) !== JSON.stringify(whole.contents)) {
          others.push(`tables are not as they should be after a kill at message ${message}`);
        }
        if (kill % 50 === 0) say(`${kill} kills of a first start`);
      }
      const done = `kill -9 of a first start at one of its ${whole.messages} messages to the database`;
      const none = { lost: [], evaluatedTwice: [], wrongStandings: [], unanswered: [] };
      return { ...none, done, kills, uploads: 0, standings: 0, longestSeconds: 0, others };
    } finally {
      await server.stop();
      await rm(folder, { recursive: true, force: true });
    }
  },
};

async function undisturbed(server: EmbeddedServer): Promise<{ messages: number; contents: string[] }> {
  return withEmptyDatabase(server, async (connectionString) => {
    const proxy = await startCuttingProxy(connectionString);
    await prepareDatabase(proxy.connectionString);
    const messages = proxy.messages();
    await proxy.close();
    return { messages, contents: await schemaContents(connectionString) };
  });
}

/** What stands after a start that was killed at a message, and another one. */
async function killedAt(server: EmbeddedServer, message: number): Promise<string[]> {
  return withEmptyDatabase(server, async (connectionString) => {
    let service: ChildProcess | undefined;
    const proxy = await startCuttingProxy(connectionString, message, () => service?.kill("SIGKILL"));
    const settings = { DATABASE_URL: proxy.connectionString, PORT: "0", LOG_LEVEL: "silent", DEMO: "false" };
    service = spawn(process.execPath, [built("main.js")], { env: { ...process.env, ...settings }, stdio: "ignore" });
    await once(service, "exit");
    await proxy.close();
    await prepareDatabase(connectionString);
    return schemaContents(connectionString);
  });
}

async function withEmptyDatabase<T>(
  { connectionString, ownerConnectionString }: EmbeddedServer,
  use: (connectionString: string) => Promise<T>,
): Promise<T> {
  const name = `faults_${randomUUID().replaceAll("-", "")}`;
  const address = new URL(connectionString);
  const administer = async (statement: string) => {
    const client = new Client({ connectionString: ownerConnectionString });
    await client.connect();
    await client.query(statement);
    await client.end();
  };
  await administer(`CREATE DATABASE ${name} TEMPLATE template0 OWNER ${address.username}`);
  address.pathname = `/${name}`;
  try {
    return await use(address.href);
  } finally {
    await administer(`DROP DATABASE ${name} WITH (FORCE)`);
  }
}
