import { type ChildProcess, execFileSync, spawn } from "node:child_process";
import { once } from "node:events";
import { mkdtemp, readFile, rm, writeFile } from "node:fs/promises";
import { getPriority, platform, tmpdir } from "node:os";
import { join } from "node:path";
import { setTimeout as delay } from "node:timers/promises";
import { pathToFileURL } from "node:url";
import { afterEach, beforeEach, expect, it } from "@jest/globals";
import { projectRoot } from "../config/project-root.js";
import { ChildProgram } from "./child-program.js";

const built = (module: string) => pathToFileURL(join(projectRoot, "dist/src/platform/process", module)).href;
const CHILD = `
import { answerParent, endWithParent } from ${JSON.stringify(built("parent.js"))};
endWithParent(() => process.exit(0));
answerParent({ pid: async () => process.pid, arenas: async () => process.env.MALLOC_ARENA_MAX, options: async () => process.execArgv, never: () => new Promise(() => {}) });
setInterval(() => {}, 1_000);`;

let folder: string;
let script: string;
let child: ChildProgram | undefined;
let parent: ChildProcess | undefined;
beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), "child-program-"));
  script = await written("child.mjs", CHILD);
});
afterEach(async () => {
  await child?.stop();
  parent?.kill("SIGKILL");
  await rm(folder, { recursive: true });
});

async function written(name: string, text: string): Promise<string> {
  await writeFile(join(folder, name), text);
  return join(folder, name);
}

async function started(
  environment = process.env,
  options: string[] = [],
): Promise<{ child: ChildProgram; pid: number }> {
  const one = new ChildProgram(script, "child of a test", environment, options);
  child = one;
  await until(async () => (await one.ask("pid")) !== null);
  return { child: one, pid: one.pid as number };
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

it.each([
  [undefined, "1"],
  ["4", "4"],
])(
  "shares one arena of memory among its threads where its environment does not say otherwise: %s",
  async (set, arenas) => {
    const { MALLOC_ARENA_MAX: _, ...environment } = process.env;
    const { child } = await started(set === undefined ? environment : { ...environment, MALLOC_ARENA_MAX: set });
    expect(await child.ask("arenas")).toBe(arenas);
  },
);

it("has this process's options of Node, and its own after them", async () => {
  const { child } = await started(process.env, ["--heap-growing-percent=100"]);
  expect(await child.ask("options")).toEqual([...process.execArgv, "--heap-growing-percent=100"]);
});

it("answers what it is asked, and nothing where it cannot", async () => {
  const { child, pid } = await started();
  expect(await child.ask("pid")).toBe(pid);
  expect(await child.ask("what nobody answers")).toBeNull();
  expect(await child.ask("never")).toBeNull();
});

it("gives way to the process that has started it", async () => {
  const { pid } = await started();
  // Windows knows six classes of priority alone.
  if (platform() === "win32") expect(getPriority(pid)).toBeGreaterThan(getPriority());
  else expect(getPriority(pid)).toBe(Math.min(getPriority() + 15, 19));
});

it("is a session of its own, which gives way as well where sessions share the processor", async () => {
  if (platform() === "win32") return;
  const { pid } = await started();
  const sessionOf = (of: number) => execFileSync("ps", ["-o", "sid=", "-p", String(of)], { encoding: "utf8" }).trim();
  expect(sessionOf(pid)).toBe(String(pid));
  const group = () => readFile(`/proc/${pid}/autogroup`, "utf8").catch(() => null);
  if ((await group()) === null) return;
  await until(async () => (await group())?.endsWith(` nice ${getPriority(pid)}\n`) ?? false);
});

it("is started again when it ends, until it is told to stop", async () => {
  const { child, pid } = await started();
  process.kill(pid, "SIGKILL");
  await until(async () => typeof (await child.ask("pid")) === "number" && child.pid !== pid);
  const second = child.pid as number;
  await child.stop();
  expect([runs(pid), runs(second)]).toEqual([false, false]);
  await delay(700);
  expect(child.pid).toBe(second);
  expect(await child.ask("pid")).toBeNull();
});

it("ends with the process that has started it, however that ends", async () => {
  const source = `
import { ChildProgram } from ${JSON.stringify(built("child-program.js"))};
import { writeFileSync } from "node:fs";
const child = new ChildProgram(${JSON.stringify(script)}, "child", process.env);
while ((await child.ask("pid")) === null);
writeFileSync(${JSON.stringify(join(folder, "pid"))}, String(child.pid));`;
  parent = spawn(process.execPath, [await written("parent.mjs", source)], { stdio: "ignore" });
  const read = () => readFile(join(folder, "pid"), "utf8").catch(() => "");
  await until(async () => (await read()) !== "");
  const childPid = Number(await read());
  expect(runs(childPid)).toBe(true);
  parent.kill("SIGKILL");
  await once(parent, "exit");
  await until(() => !runs(childPid));
});
