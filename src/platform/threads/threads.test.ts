import { afterAll, beforeAll, expect, it } from "@jest/globals";
import { readConfig } from "../config/config.js";
import { MemoryLimitPassed, Threads, TimeLimitPassed } from "./threads.js";

let threads: Threads;
beforeAll(() => {
  threads = new Threads(readConfig({ EVALUATION_THREADS: "1" }));
});
afterAll(() => threads.onApplicationShutdown());

const escaping = { module: "src/platform/database/patterns.js", name: "literally" };
const never = { module: "../test/support/endless.js", name: "endless" };

it("computes in another thread what a built module exports", async () => {
  expect(await threads.run<string, string>(escaping, "5_%")).toBe("5\\_\\%");
});

it("hands back what the function throws", async () => {
  const failing = threads.run(escaping, null);
  await expect(failing).rejects.toThrow();
  await expect(failing).rejects.not.toBeInstanceOf(TimeLimitPassed);
});

it("ends what takes longer than its limit, and computes on with another thread", async () => {
  await expect(threads.run({ ...never, limitMs: 100 }, null)).rejects.toBeInstanceOf(TimeLimitPassed);
  expect(await threads.run<string, string>({ ...escaping, limitMs: 600_000 }, "_")).toBeTruthy();
});

it("ends what takes more memory than a thread may have, and computes what waited behind it", async () => {
  const before = threads.run({ ...never, name: "hoard" }, null);
  const behind = threads.run<string, string>(escaping, "_");
  await expect(before).rejects.toBeInstanceOf(MemoryLimitPassed);
  expect(await behind).toBeTruthy();
});

it("does not count the wait for a thread", async () => {
  const before = threads.run({ ...never, name: "doze", limitMs: 6_000 }, null);
  const behind = threads.run<string, string>({ ...escaping, limitMs: 5_900 }, "_");
  await expect(before).rejects.toBeInstanceOf(TimeLimitPassed);
  expect(await behind).toBeTruthy();
});
