import { existsSync } from "node:fs";
import { mkdtemp, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { setTimeout as delay } from "node:timers/promises";
import { afterAll, beforeAll, expect, it } from "@jest/globals";
import { cloneDatabase, type TestDatabase } from "../../support/database.js";
import { connectionAttacks } from "./connection-attacks.js";
import { contentAttacks } from "./content-attacks.js";
import { floodAttacks } from "./flood-attacks.js";
import { send } from "./http-client.js";
import { MAX_MEBIBYTES, undeclaredFaults } from "./judge.js";
import { ServiceUnderAttack } from "./service.js";

const SCALE = 0.02;

let folder: string;
let database: TestDatabase;
let service: ServiceUnderAttack;
let base: string;
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), "strangers-"));
  database = await cloneDatabase();
  service = new ServiceUnderAttack(folder, false, database.connectionString);
  base = await service.start();
});
afterAll(async () => {
  await service.stop();
  await database.drop();
  await rm(folder, { recursive: true });
});

it.each([...floodAttacks(SCALE), ...connectionAttacks(SCALE, 1), ...contentAttacks(SCALE)])(
  "answers $name without a fault, and others meanwhile",
  async ({ attack }) => {
    const outcome = await attack(base);
    expect(undeclaredFaults(outcome)).toEqual([]);
    expect((await send(base, { path: "/health/ready" })).answer).toBe("200");
    expect(await service.peakMebibytes()).toBeLessThan(MAX_MEBIBYTES);
  },
);

// Last: of the service that all others ask nothing is left.
it("starts its worker again when that is killed, and takes it along when it is killed itself", async () => {
  const [, worker] = service.processes;
  process.kill(worker as number, "SIGKILL");
  while ([undefined, worker].includes(service.processes[1])) await delay(50);
  const second = service.processes[1] as number;
  await service.kill();
  while (existsSync(`/proc/${second}`)) await delay(50);
});
