import { getPriority, platform } from "node:os";
import { afterAll, beforeAll, expect, it } from "@jest/globals";
import { readConfig } from "../config/config.js";
import { MemoryLimitPassed, Threads, TimeLimitPassed } from "./threads.js";

let threads: Threads;
beforeAll(() => {
  threads = new Threads(readConfig({ EVALUATION_THREADS: "1" }));
});
afterAll(() => threads.onApplicationShutdown());

const escaping = { module: "src/platform/database/rows/patterns.js", name: "literally" };
const never = { module: "../test/support/endless.js", name: "endless" };

it("computes in another thread what a built module exports", async () => {
  expect(await threads.run<string, string>(escaping, "5_%")).toBe("5\\_\\%");
});

// setpriority(2): of a Linux thread its own; elsewhere of the whole process, which is left alone.
it("computes at a lower priority than answers are made at, where a thread has one of its own", async () => {
  const niceness = await threads.run<null, number>({ ...never, name: "niceness" }, null);
  expect(niceness).toBe(platform() === "linux" ? Math.min(getPriority() + 5, 19) : getPriority());
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

it("computes for others between what somebody asks for", async () => {
  const ended: string[] = [];
  const ask = (share: string) => threads.run<string, string>({ ...escaping, share }, "_").then(() => ended.push(share));
  await Promise.all([...Array.from({ length: 30 }, () => ask("flood")), ask("other")]);
  expect(ended.indexOf("other")).toBeLessThanOrEqual(2);
});

it("leaves a thread to what is short while something long is computed", async () => {
  const two = new Threads(readConfig({ EVALUATION_THREADS: "2" }));
  const doze = { ...never, name: "doze", lane: "long", limitMs: 3_000 } as const;
  let ended = 0;
  const long = [1, 2].map(() => two.run(doze, null).catch(() => ended++));
  for (let i = 0; i < 5; i++) expect(await two.run<string, string>(escaping, String(i))).toBeTruthy();
  // Both wait one after another; what is short waited for neither.
  expect(ended).toBeLessThan(2);
  await Promise.all(long);
  await two.onApplicationShutdown();
});

it("does not count the wait for a thread", async () => {
  const before = threads.run({ ...never, name: "doze", limitMs: 6_000 }, null);
  const behind = threads.run<string, string>({ ...escaping, limitMs: 5_900 }, "_");
  await expect(before).rejects.toBeInstanceOf(TimeLimitPassed);
  expect(await behind).toBeTruthy();
});

it("shares its threads with others of this process, and ends what it computes itself alone", async () => {
  const other = new Threads(readConfig({ EVALUATION_THREADS: "1" }));
  const interrupted = other.run({ ...never, limitMs: 600_000 }, null);
  const behind = threads.run<string, string>(escaping, "_");
  await other.onApplicationShutdown();
  await expect(interrupted).rejects.toThrow("The service stops");
  await expect(interrupted).rejects.not.toBeInstanceOf(TimeLimitPassed);
  await expect(other.run(escaping, "_")).rejects.toThrow("The service stops");
  expect(await behind).toBeTruthy();
});
