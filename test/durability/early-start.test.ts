import { mkdtemp, rm } from "node:fs/promises";
import { createServer } from "node:net";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { setTimeout as delay } from "node:timers/promises";
import { expect, it } from "@jest/globals";
import { readConfig } from "../../src/platform/config/config.js";
import { startEmbeddedServer } from "../../src/platform/database/embedded/embedded-server.js";
import { Readiness } from "../../src/platform/health/readiness.js";
import { startService } from "../../src/start-service.js";

async function freePort(): Promise<number> {
  const probe = createServer().listen(0, "127.0.0.1");
  await new Promise((listening) => probe.once("listening", listening));
  const { port } = probe.address() as { port: number };
  await new Promise((closed) => probe.close(closed));
  return port;
}

it("a service lives before its database does, says what it waits for, and is ready when all is done", async () => {
  const parent = await mkdtemp(join(tmpdir(), "packledger-early-"));
  const folder = join(parent, "data");
  const { connectionString, stop } = await startEmbeddedServer(folder);
  await stop();
  const said: string[] = [];
  const { error } = console;
  console.error = (line: string) => void said.push(line);
  const port = await freePort();
  const url = `http://127.0.0.1:${port}`;
  const settings = { LOG_LEVEL: "silent", PORT: String(port), DATABASE_URL: connectionString, RUN_JOBS: "false" };
  const starting = startService(readConfig(settings), ["demo"]);
  const ready = async () => {
    const answer = await fetch(`${url}/health/ready`);
    return [answer.status, ((await answer.json()) as { waitingFor?: string[] }).waitingFor];
  };
  const until = async (what: readonly unknown[]) => {
    while (JSON.stringify(await ready()) !== JSON.stringify(what)) await delay(20);
  };
  try {
    while (
      !(await fetch(`${url}/health/live`).then(
        (answer) => answer.ok,
        () => false,
      ))
    )
      await delay(10);
    await until([503, ["database"]]);
    const early = await fetch(`${url}/v1/packs`);
    expect([early.status, early.headers.get("retry-after")]).toEqual([503, "1"]);
    while (said.length === 0) await delay(10);
    const { port: databasePort, password } = new URL(connectionString);
    const [line] = said;
    expect(line).toContain(`database "packledger" at 127.0.0.1:${databasePort}`);
    expect(line).toContain("ECONNREFUSED");
    expect(line).not.toContain(password);

    const database = await startEmbeddedServer(folder);
    const service = await starting;
    expect(service.url).toBe(url);
    expect(await ready()).toEqual([503, ["demo"]]);
    expect((await fetch(`${url}/v1/packs`)).status).toBe(200);
    service.app.get(Readiness).done("demo");
    expect(await ready()).toEqual([200, undefined]);
    await service.stop();
    await expect(fetch(`${url}/health/live`)).rejects.toThrow();
    await database.stop();
  } finally {
    console.error = error;
    await rm(parent, { recursive: true });
  }
});
