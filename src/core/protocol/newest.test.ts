import { expect, test } from "@jest/globals";
import { newestOf } from "./newest.js";

const version = (key: string, number: number) => ({ key, version: number });

test("of each protocol the highest version is the newest, wherever it is listed", () => {
  const listed = [version("full-load", 2), version("two-pulse", 1), version("full-load", 10), version("full-load", 9)];
  expect(newestOf(listed)).toEqual([version("full-load", 10), version("two-pulse", 1)]);
});

test("no protocols have no newest versions", () => expect(newestOf([])).toEqual([]));
