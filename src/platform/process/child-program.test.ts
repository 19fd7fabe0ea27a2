import { type ChildProcess, spawn } from "node:child_process";
import { once } from "node:events";
import { mkdtemp, readFile, rm, writeFile } from "node:fs/promises";
import { getPriority, platform, tmpdir } from "node:os";
import { join } from "node:path";
import { setTimeout as delay } from "node:timers/promises";
import { pathToFileURL } from "node:url";
import { afterEach, beforeEach, expect, it } from "@jest/globals";
import { projectRoot } from "../config/project-root.js";
import { Companion } from "./companion.js";

const built = (module: string) => pathToFileURL(join(projectRoot, "dist/src/platform/process", module)).href;
const BESIDE = `
import { answerStarter, endWithStarter } from ${JSON.stringify(built("beside.js"))};
endWithStarter(() => process.exit(0));
answerStarter({ pid: async () => process.pid, never: () => new Promise(() => {}) });
setInterval(() => {}, 1_000);`;

let folder: string;
let script: string;
let companion: Companion | undefined;
let starter: ChildProcess | undefined;
beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), "companion-"));
  script = await written("beside.mjs", BESIDE);
});
afterEach(async () => {
  await companion?.stop();
  starter?.kill("SIGKILL");
  await rm(folder, { recursive: true });
});

async function written(name: string, text: string): Promise<string> {
  await writeFile(join(folder, name), text);
  return join(folder, name);
}

async function started(): Promise<{ companion: Companion; pid: number }> {
  const one = new Companion(script, "companion of a test", process.env);
  companion = one;
  await until(async () => (await one.ask("pid")) !== null);
  return { companion: one, pid: one.pid as number };
}

function runs(pid: number): boolean {
  try {
    return process.kill(pid, 0);
  } catch {
    return false;
  }
}

async function until(isSo: () => boolean | Promise<boolean>): Promise<void> {
  while (!(await isSo())) await delay(20);
}

it("answers what it is asked, and nothing where it cannot", async () => {
  const { companion, pid } = await started();
  expect(await companion.ask("pid")).toBe(pid);
  expect(await companion.ask("what nobody answers")).toBeNull();
  expect(await companion.ask("never")).toBeNull();
});

it("gives way to the process that has started it", async () => {
  const { pid } = await started();
  // Windows knows six classes of priority alone.
  if (platform() === "win32") expect(getPriority(pid)).toBeGreaterThan(getPriority());
  else expect(getPriority(pid)).toBe(Math.min(getPriority() + 15, 19));
});

it("is started again when it ends, until it is told to stop", async () => {
  const { companion, pid } = await started();
  process.kill(pid, "SIGKILL");
  await until(async () => typeof (await companion.ask("pid")) === "number" && companion.pid !== pid);
  const second = companion.pid as number;
  await companion.stop();
  expect([runs(pid), runs(second)]).toEqual([false, false]);
  await delay(700);
  expect(companion.pid).toBe(second);
  expect(await companion.ask("pid")).toBeNull();
});

it("ends with the process that has started it, however that ends", async () => {
  const source = `
import { Companion } from ${JSON.stringify(built("companion.js"))};
import { writeFileSync } from "node:fs";
const companion = new Companion(${JSON.stringify(script)}, "companion", process.env);
while ((await companion.ask("pid")) === null);
writeFileSync(${JSON.stringify(join(folder, "pid"))}, String(companion.pid));`;
  starter = spawn(process.execPath, [await written("starter.mjs", source)], { stdio: "ignore" });
  const read = () => readFile(join(folder, "pid"), "utf8").catch(() => "");
  await until(async () => (await read()) !== "");
  const beside = Number(await read());
  expect(runs(beside)).toBe(true);
  starter.kill("SIGKILL");
  await once(starter, "exit");
  await until(() => !runs(beside));
});
