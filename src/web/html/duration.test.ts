import { expect, it } from "@jest/globals";
import { duration } from "./duration.js";

// Minutes and hours of 60 s and 3600 s (SI Brochure, 9th edition, table 8); which unit is shown is a habit of benches, no published source.
it.each([
  [1, "1\u00a0s"],
  [1.25, "1.3\u00a0s"],
  [119, "119\u00a0s"],
  [173.88, "2\u00a0min 54\u00a0s"],
  [180, "3\u00a0min"],
  [3_599.6, "1\u00a0h"],
  [17_970, "5\u00a0h"],
  [18_090, "5\u00a0h 2\u00a0min"],
])("says %d s as people at a bench do", (seconds, text) => {
  expect(duration(seconds)).toBe(text);
});
