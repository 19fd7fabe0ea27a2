import { afterAll, beforeAll, expect, it } from "@jest/globals";
import { readConfig } from "../config/config.js";
import { Threads } from "./threads.js";

let threads: Threads;
beforeAll(() => {
  threads = new Threads(readConfig({}));
});
afterAll(() => threads.onApplicationShutdown());

const encode = { module: "src/platform/paging/cursor.js", name: "encodeCursor" };

it("computes in another thread what a built module exports", async () => {
  const cursor = await threads.run<readonly number[], string>(encode, [1, 2]);
  expect(Buffer.from(cursor, "base64url").toString()).toBe("[1,2]");
});

it("hands back what the function throws", async () => {
  const decode = { module: "src/platform/paging/cursor.js", name: "decodeCursor" };
  await expect(threads.run(decode, "?")).rejects.toThrow();
});
