import { type ChildProcess, spawn } from "node:child_process";
import { mkdtemp, readdir, readFile, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { setTimeout as delay } from "node:timers/promises";
import { afterAll, beforeAll, expect, it } from "@jest/globals";
import { projectRoot } from "../../src/platform/config/project-root.js";

/** Two files that each start the service, so that two workers run beside the database. */
const FILES = ["src/features/packs/packs.test.ts", "src/features/benches/benches.test.ts"];

let folder: string;
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), "interrupted-"));
});
afterAll(() => rm(folder, { recursive: true }));

/** A test run of its own, whose processes all have `folder` in their environment. */
function startTests(): ChildProcess {
  const args = ["node_modules/jest/bin/jest.js", "--maxWorkers=2", ...FILES];
  return spawn(process.execPath, args, { cwd: projectRoot, env: { ...process.env, TMPDIR: folder }, stdio: "ignore" });
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

it.each(["SIGINT", "SIGTERM", "SIGKILL"] as const)(
  "a test run that is ended by %s leaves no worker, no database and no file behind",
  async (signal) => {
    const tests = startTests();
    const count = (found: readonly string[], text: string) => found.filter((line) => line.includes(text)).length;
    for (;;) {
      const found = await processesOfRun();
      if (count(found, "processChild") === 2 && count(found, "bin/postgres -D") === 1) break;
      expect(tests.exitCode).toBeNull();
      await delay(20);
    }
    tests.kill(signal);
    while ((await processesOfRun()).length > 0) await delay(20);
    // Jest keeps its own cache for the next run.
    expect((await readdir(folder)).filter((name) => !name.startsWith("jest_"))).toEqual([]);
  },
);
