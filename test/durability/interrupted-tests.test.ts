import { type ChildProcess, spawn } from "node:child_process";
import { mkdtemp, readdir, readFile, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { setTimeout as delay } from "node:timers/promises";
import { afterEach, beforeEach, describe, expect, it } from "@jest/globals";
import { projectRoot } from "../../src/platform/config/project-root.js";

/** Two files that each start the service, so that two workers run beside the database. */
const FILES = ["src/features/packs/packs.test.ts", "src/features/benches/benches.test.ts"];
const common = { rootDir: projectRoot, testRunner: "<rootDir>/test/support/jest/run-file.js", transform: {} };
/** Tests that hang, in a run with a database. */
const HANGING = {
  ...common,
  roots: ["<rootDir>/test/support/hanging"],
  testMatch: ["**/*.ts"],
  globalSetup: "<rootDir>/test/support/jest/set-up.js",
  globalTeardown: "<rootDir>/test/support/jest/tear-down.js",
};
/** One that hangs, in a run of pure tests, which nobody keeps; with one file alone jest starts no worker. */
const PURE_HANGING = {
  ...common,
  roots: ["<rootDir>/test/support/hanging", "<rootDir>/src/core/trace"],
  testMatch: ["**/computing.ts", "**/stop.test.ts"],
};

let folder: string;
let started: ChildProcess[] = [];
beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), "interrupted-"));
});
afterEach(async () => {
  for (const tests of started) await endsWithoutTrace(tests, "SIGKILL");
  started = [];
  await rm(folder, { recursive: true });
});

/** A test run of its own, whose processes all have `folder` in their environment. */
function startTests(...more: readonly string[]): ChildProcess {
  const args = ["node_modules/jest/bin/jest.js", "--maxWorkers=2", ...more];
  const env = { ...process.env, TMPDIR: folder };
  const tests = spawn(process.execPath, args, { cwd: projectRoot, env, stdio: "ignore" });
  started.push(tests);
  return tests;
}

/** Command lines of the processes of that run, as Linux shows them. */
async function processesOfRun(): Promise<string[]> {
  const pids = (await readdir("/proc")).filter((name) => /^\d+$/.test(name));
  const read = (pid: string, file: string) => readFile(`/proc/${pid}/${file}`, "utf8").catch(() => "");
  const found = await Promise.all(
    pids.map(async (pid) => {
      const [environment, commandLine] = await Promise.all([read(pid, "environ"), read(pid, "cmdline")]);
      return environment.includes(folder) || commandLine.includes(folder) ? commandLine.replaceAll("\0", " ") : "";
    }),
  );
  return found.filter((commandLine) => commandLine !== "");
}

async function waitUntil(tests: ChildProcess, isSo: () => Promise<boolean>): Promise<void> {
  while (!(await isSo())) {
    expect([tests.exitCode, tests.signalCode]).toEqual([null, null]);
    await delay(20);
  }
}

const areRunning = async (...texts: readonly string[]) => {
  const found = await processesOfRun();
  return texts.every((text) => found.some((line) => line.includes(text)));
};
/** How many test files have said that they hang, in the folder or in that of the run's database; deeper ones change while they are read. */
async function hanging(): Promise<number> {
  const folders = (await readdir(folder)).filter((name) => name.startsWith("packledger-tests-"));
  const names = await Promise.all(["", ...folders].map((name) => readdir(join(folder, name))));
  return names.flat().filter((name) => name.startsWith("hangs-")).length;
}

async function endsWithoutTrace(tests: ChildProcess, signal: NodeJS.Signals): Promise<void> {
  tests.kill(signal);
  while ((await processesOfRun()).length > 0) await delay(20);
}

/** Jest keeps its own cache for the next run. */
const leftFiles = async () => (await readdir(folder)).filter((name) => !name.startsWith("jest_"));

const SIGNALS = ["SIGINT", "SIGTERM", "SIGKILL"] as const;

describe("a test run leaves no worker, no database and no file behind", () => {
  it("when it is ended by SIGINT while its tests start", async () => {
    const tests = startTests(...FILES);
    await waitUntil(tests, async () => {
      const workers = (await processesOfRun()).filter((line) => line.includes("processChild"));
      return workers.length === 2 && (await areRunning("bin/postgres -D"));
    });
    await endsWithoutTrace(tests, "SIGINT");
    expect(await leftFiles()).toEqual([]);
  });

  it.each(SIGNALS)("when it is ended by %s while tests hang that have started a process", async (signal) => {
    const tests = startTests("--config", JSON.stringify(HANGING));
    await waitUntil(tests, async () => (await hanging()) === 2);
    expect(await areRunning("processChild", "bin/postgres -D", "sleep 86400")).toBe(true);
    await endsWithoutTrace(tests, signal);
    expect(await leftFiles()).toEqual([]);
  });
});

it.each(["SIGINT", "SIGKILL"] as const)("a pure test that hangs ends with its run, ended by %s", async (signal) => {
  const tests = startTests("--config", JSON.stringify(PURE_HANGING));
  await waitUntil(tests, async () => (await hanging()) === 1);
  expect(await areRunning("processChild")).toBe(true);
  await endsWithoutTrace(tests, signal);
});
