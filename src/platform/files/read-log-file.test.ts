import { mkdtemp, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { setTimeout as delay } from "node:timers/promises";
import { afterAll, beforeAll, expect, it } from "@jest/globals";

import { type ReadProgress, readLogFile } from "./read-log-file.js";

const MIB = 2 ** 20;

let folder: string;
let path: string;
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), "packledger-read-"));
  path = join(folder, "log");
  await writeFile(path, Buffer.alloc(6 * MIB, "x"));
});
afterAll(() => rm(folder, { recursive: true }));

async function reportsOf(msPerChunk: number): Promise<{ reports: ReadProgress[]; bytes: number }> {
  const reports: ReadProgress[] = [];
  let bytes = 0;
  for await (const chunk of readLogFile(path, (progress) => reports.push(progress))) {
    bytes += chunk.length;
    await delay(msPerChunk);
  }
  return { reports, bytes };
}

it("tells how many bytes of how many were read, and when all were", async () => {
  const { reports, bytes } = await reportsOf(210);
  expect(bytes).toBe(6 * MIB);
  expect(reports[0]).toEqual({ stage: "reading", done: MIB, total: 6 * MIB });
  expect(reports.at(-1)).toEqual({ stage: "computing", done: 6 * MIB, total: 6 * MIB });
  const done = reports.map((report) => report.done);
  expect(done).toEqual([...done].sort((a, b) => a - b));
});

it("tells it at most five times a second", async () => {
  const startedAt = performance.now();
  const { reports } = await reportsOf(40);
  const readings = reports.filter(({ stage }) => stage === "reading");
  expect(readings.length).toBeGreaterThan(0);
  expect(readings.length).toBeLessThanOrEqual((performance.now() - startedAt) / 200);
});
