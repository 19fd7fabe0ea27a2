import { type ChildProcess, spawn } from "node:child_process";
import { once } from "node:events";
import { join } from "node:path";
import { beforeAll, describe, expect, it } from "@jest/globals";
import { Client } from "pg";
import { migrate } from "../../prisma/migrate.js";
import { projectRoot } from "../../src/platform/config/project-root.js";
import { awaitDatabase } from "../../src/platform/database/opening/await-database.js";
import { prepareDatabase } from "../../src/prepare-database.js";
import { startCuttingProxy } from "../support/cutting-proxy.js";
import { cloneDatabase, createEmptyDatabase } from "../support/database.js";
import { schemaContents } from "./schema-contents.js";

/** How many messages a first start has sent before it touches the database, when its own tables are made, and at its end. */
let first: number;
let own: number;
let last: number;
let expected: string[];
beforeAll(async () => {
  const database = await createEmptyDatabase();
  const proxy = await startCuttingProxy(database.connectionString);
  await awaitDatabase(proxy.connectionString);
  first = proxy.messages();
  await prepareDatabase(proxy.connectionString);
  last = proxy.messages() - first;
  await proxy.close();
  await database.drop();
  own = first + (await messagesOfMigrating());
  const template = await cloneDatabase();
  expected = await schemaContents(template.connectionString);
  await template.drop();
});

/** How many messages it takes to take the lock of a start, and to make the tables. */
async function messagesOfMigrating(): Promise<number> {
  const database = await createEmptyDatabase();
  const proxy = await startCuttingProxy(database.connectionString);
  const client = new Client({ connectionString: proxy.connectionString });
  await client.connect();
  await client.query("select pg_advisory_lock(1)");
  await migrate(proxy.connectionString);
  const messages = proxy.messages();
  await client.end();
  await proxy.close();
  await database.drop();
  return messages;
}

async function expectNextStartToFinish(connectionString: string): Promise<void> {
  await prepareDatabase(connectionString);
  expect(await schemaContents(connectionString)).toEqual(expected);
}

/** The four messages of the first migration, as every one sends, one of `EVERY` after it, and the last one. */
function lastMessages(from: number, to: number): number[] {
  const all = Array.from({ length: to - from }, (_, i) => from + i);
  return all.filter((_, i) => i < WHOLE || i === all.length - 1 || i % EVERY === 0);
}

const WHOLE = 4;
/** One at a time by `KILLED_MESSAGES=1 npm test -- test/durability/killed-migrations`. */
const EVERY = Number(process.env.KILLED_MESSAGES ?? 53);
/** By which share of a start's messages its process is ended, and how. */
const ENDS = [
  ["SIGKILL", 0.1],
  ["SIGKILL", 0.5],
  ["SIGTERM", 0.9],
] as const;

describe("a first start that is ended while it makes the tables", () => {
  it("is followed by one that works, whichever message to the database was its last", async () => {
    expect(own - first).toBeGreaterThan(10);
    for (const messages of lastMessages(first, own)) {
      const database = await createEmptyDatabase();
      const proxy = await startCuttingProxy(database.connectionString, messages);
      await expect(prepareDatabase(proxy.connectionString)).rejects.toThrow();
      await proxy.close();
      await expectNextStartToFinish(database.connectionString);
      await database.drop();
    }
  });

  it.each(ENDS)(
    "is followed by one that works after a %s of its process at %d of its messages",
    async (signal, share) => {
      const database = await createEmptyDatabase();
      let service: ChildProcess | undefined;
      const messages = Math.round(first + share * (last - first));
      const proxy = await startCuttingProxy(database.connectionString, messages, () => service?.kill(signal));
      service = spawn(process.execPath, [join(projectRoot, "dist/src/main.js")], {
        env: { ...process.env, DATABASE_URL: proxy.connectionString, PORT: "0", LOG_LEVEL: "silent", DEMO: "false" },
        stdio: "ignore",
      });
      await once(service, "exit");
      expect([signal, null]).toContain(service.signalCode);
      expect(proxy.messages()).toBe(messages);
      await proxy.close();
      await expectNextStartToFinish(database.connectionString);
      await database.drop();
    },
  );
});

it("programs that start together on an empty database all come up, and each migration is applied once", async () => {
  const database = await createEmptyDatabase();
  await Promise.all(Array.from({ length: 5 }, () => prepareDatabase(database.connectionString)));
  expect(await schemaContents(database.connectionString)).toEqual(expected);
  await database.drop();
});
