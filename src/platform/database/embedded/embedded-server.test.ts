import { mkdtemp, readFile, rm, stat, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { setTimeout as delay } from "node:timers/promises";
import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { Client } from "pg";
import { type EmbeddedServer, startEmbeddedServer } from "./embedded-server.js";

let parent: string;
let folder: string;
beforeAll(async () => {
  parent = await mkdtemp(join(tmpdir(), "packledger-test-"));
  folder = join(parent, "data");
});
afterAll(() => rm(parent, { recursive: true }));

async function ask(server: EmbeddedServer, statement: string): Promise<unknown[][]> {
  const client = new Client({ connectionString: server.connectionString });
  client.on("error", () => undefined);
  await client.connect();
  try {
    return (await client.query({ text: statement, rowMode: "array" })).rows as unknown[][];
  } finally {
    await client.end();
  }
}

async function postmasterPid(): Promise<number> {
  return Number((await readFile(join(folder, "database", "postmaster.pid"), "utf8")).split("\n")[0]);
}

describe("the embedded database", () => {
  it("keeps what it was given from one start to the next, and its password to itself", async () => {
    const first = await startEmbeddedServer(folder);
    await ask(first, "CREATE TABLE kept AS SELECT 'grün' AS word");
    expect(await ask(first, "SHOW server_encoding")).toEqual([["UTF8"]]);
    expect(await ask(first, "SHOW listen_addresses")).toEqual([["127.0.0.1"]]);
    await first.stop();
    const second = await startEmbeddedServer(folder);
    expect(second.connectionString).toBe(first.connectionString);
    expect(await ask(second, "SELECT upper(word) FROM kept")).toEqual([["GRÜN"]]);
    await second.stop();
    expect((await stat(join(folder, "database.json"))).mode & 0o777).toBe(0o600);
  });

  it("is started again when its server is killed, with everything in it", async () => {
    const server = await startEmbeddedServer(folder);
    await ask(server, "CREATE TABLE survived AS SELECT 1 AS number");
    process.kill(await postmasterPid(), "SIGKILL");
    let rows: unknown[][] | null = null;
    while (rows === null) {
      await delay(100);
      rows = await ask(server, "SELECT number FROM survived").catch(() => null);
    }
    expect(rows).toEqual([[1]]);
    await server.stop();
    await expect(ask(server, "SELECT 1")).rejects.toThrow(/ECONNREFUSED/);
  });

  it("is refused to a second server on the same folder, which leaves the first alone", async () => {
    const server = await startEmbeddedServer(folder);
    await expect(startEmbeddedServer(folder)).rejects.toThrow(/in use by another running server \(process \d+\)/);
    expect(await ask(server, "SELECT 1")).toEqual([[1]]);
    await server.stop();
  });

  it("comes back after its service and itself were killed", async () => {
    await startEmbeddedServer(folder);
    process.kill(await postmasterPid(), "SIGKILL");
    await writeFile(join(folder, "server.lock"), JSON.stringify({ pid: process.pid, identity: "an earlier process" }));
    const server = await startEmbeddedServer(folder);
    expect(await ask(server, "SELECT count(*)::int FROM kept")).toEqual([[1]]);
    await server.stop();
  });

  it("comes back after its service alone was killed, and no server is left over", async () => {
    await startEmbeddedServer(folder);
    const orphan = await postmasterPid();
    await writeFile(join(folder, "server.lock"), JSON.stringify({ pid: 2 ** 22 + 1, identity: "gone" }));
    const server = await startEmbeddedServer(folder);
    expect(await postmasterPid()).not.toBe(orphan);
    expect(() => process.kill(orphan, 0)).toThrow("ESRCH");
    await server.stop();
  });
});
