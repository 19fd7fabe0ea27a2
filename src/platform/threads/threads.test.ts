import { afterAll, beforeAll, expect, it } from "@jest/globals";
import { readConfig } from "../config/config.js";
import { MemoryLimitPassed, Threads, TimeLimitPassed } from "./threads.js";

let threads: Threads;
beforeAll(() => {
  threads = new Threads(readConfig({ EVALUATION_THREADS: "1" }));
});
afterAll(() => threads.onApplicationShutdown());

const encode = { module: "src/platform/paging/cursor.js", name: "encodeCursor" };
const never = { module: "../test/support/endless.js", name: "endless" };

it("computes in another thread what a built module exports", async () => {
  const cursor = await threads.run<readonly number[], string>(encode, [1, 2]);
  expect(Buffer.from(cursor, "base64url").toString()).toBe("[1,2]");
});

it("hands back what the function throws", async () => {
  const decode = { module: "src/platform/paging/cursor.js", name: "decodeCursor" };
  const failing = threads.run(decode, "?");
  await expect(failing).rejects.toThrow();
  await expect(failing).rejects.not.toBeInstanceOf(TimeLimitPassed);
});

it("ends what takes longer than its limit, and computes on with another thread", async () => {
  await expect(threads.run({ ...never, limitMs: 100 }, null)).rejects.toBeInstanceOf(TimeLimitPassed);
  expect(await threads.run<readonly number[], string>({ ...encode, limitMs: 600_000 }, [1])).toBeTruthy();
});

it("ends what takes more memory than a thread may have, and computes what waited behind it", async () => {
  const before = threads.run({ ...never, name: "hoard" }, null);
  const behind = threads.run<readonly number[], string>(encode, [1]);
  await expect(before).rejects.toBeInstanceOf(MemoryLimitPassed);
  expect(await behind).toBeTruthy();
});

it("does not count the wait for a thread", async () => {
  const before = threads.run({ ...never, name: "doze", limitMs: 6_000 }, null);
  const behind = threads.run<readonly number[], string>({ ...encode, limitMs: 5_900 }, [1]);
  await expect(before).rejects.toBeInstanceOf(TimeLimitPassed);
  expect(await behind).toBeTruthy();
});
