import { mkdtemp, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, expect, it } from "@jest/globals";
import { connectionAttacks } from "./connection-attacks.js";
import { contentAttacks } from "./content-attacks.js";
import { floodAttacks } from "./flood-attacks.js";
import { send } from "./http-client.js";
import { MAX_MEBIBYTES, undeclaredFaults } from "./judge.js";
import { ServiceUnderAttack } from "./service.js";

const SCALE = 0.02;

let folder: string;
let service: ServiceUnderAttack;
let base: string;
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), "strangers-"));
  service = new ServiceUnderAttack(folder, false);
  base = await service.start();
});
afterAll(async () => {
  await service.stop();
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
