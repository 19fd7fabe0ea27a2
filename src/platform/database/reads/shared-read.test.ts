import { expect, it } from "@jest/globals";
import { fromReplica, readSource } from "./read-source.js";
import { SharedRead } from "./shared-read.js";

it("a read is shared by those who ask at the same time, and begins no earlier than they asked", async () => {
  let begun = 0;
  const read = new SharedRead(async () => ++begun);
  expect(await Promise.all([read.get(), read.get(), read.get()])).toEqual([1, 2, 2]);
  expect(await read.get()).toBe(3);
});

it("what is read at the primary is never given to who reads at the replica, which may be older, nor the other way round", async () => {
  const read = new SharedRead(async () => readSource());
  const asked = [read.get(), fromReplica(() => read.get()), read.get(), fromReplica(() => read.get())];
  expect(await Promise.all(asked)).toEqual(["primary", "replica", "primary", "replica"]);
});
