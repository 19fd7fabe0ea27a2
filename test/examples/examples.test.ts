import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { expect, it } from "@jest/globals";
import { projectRoot } from "../../src/platform/config/project-root.js";
import { startMailServer } from "../support/mail-server.js";
import { startSignInTest } from "../support/sign-in-test.js";
import { recordJourney } from "./journey.js";
import { shorten } from "./shorten.js";

const FILE = join(projectRoot, "contracts", "examples.json");

/** Whether an evaluation has begun when the answer is written is a matter of chance. */
const UNDER_WAY: readonly unknown[] = ["queued", "processing"];

/** What a value is made of, whatever its numbers are. */
function shapeOf(value: unknown): unknown {
  if (typeof value === "number") return "a number";
  if (UNDER_WAY.includes(value)) return "under way";
  if (Array.isArray(value)) return value.map(shapeOf);
  if (typeof value !== "object" || value === null) return value;
  return Object.fromEntries(Object.entries(value).map(([name, one]) => [name, shapeOf(one)]));
}

it("shows in its examples what the service answers, whatever the numbers (`npm run examples` writes them)", async () => {
  const startedAt = Date.now();
  const mails = await startMailServer();
  const signIns = await startSignInTest({ mail: mails.settings });
  const recorder = await recordJourney(signIns, mails).finally(async () => {
    await signIns.close();
    await mails.close();
  });
  const recorded = shorten(recorder.examples, startedAt);
  if (process.env.WRITE_EXAMPLES) writeFileSync(FILE, `${JSON.stringify(recorded, null, 2)}\n`);
  const committed = JSON.parse(readFileSync(FILE, "utf8")) as object;
  expect(shapeOf(recorded)).toEqual(shapeOf(committed));
});
