import { expect, test } from "@jest/globals";
import { resultOf } from "./checks/check.js";
import { OUTSIDE_CHECKS } from "./checks/index.js";

test.each(OUTSIDE_CHECKS.map((check) => [`${check.what} (${check.source})`, check] as const))(
  "%s",
  async (_, check) => {
    expect(await resultOf(check)).toMatchObject({ passed: true });
  },
);
