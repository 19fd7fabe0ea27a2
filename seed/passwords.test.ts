import { mkdtemp, readFile, rm, stat } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, expect, test } from "@jest/globals";
import { keepPasswords } from "./passwords.js";

let folder: string;
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), "passwords-"));
});
afterAll(() => rm(folder, { recursive: true }));

test("passwords are random for each installation, kept for the next start, and readable by their owner alone", async () => {
  const first = await keepPasswords(join(folder, "one"), ["a", "b"]);
  expect(first.a).not.toBe(first.b);
  expect(await keepPasswords(join(folder, "one"), ["b", "a"])).toEqual(first);
  expect((await keepPasswords(join(folder, "two"), ["a"])).a).not.toBe(first.a);
  expect((await stat(join(folder, "one", "demo-accounts.json"))).mode & 0o777).toBe(0o600);
});

test("an account that is added later gets a password and leaves the others alone", async () => {
  const before = await keepPasswords(join(folder, "three"), ["a"]);
  const after = await keepPasswords(join(folder, "three"), ["a", "c"]);
  expect(after).toEqual({ ...before, c: after.c });
  expect(JSON.parse(await readFile(join(folder, "three", "demo-accounts.json"), "utf8"))).toEqual(after);
});
