import { expect, it } from "@jest/globals";
import type { RunProgress } from "./progress.js";
import { ProgressPublisher } from "./progress-publisher.js";

const reading = (done: number): RunProgress => ({ stage: "reading", done, total: 3 });

it("tells in order, one at a time, and drops what is overtaken meanwhile", async () => {
  const told: number[] = [];
  const answers: (() => void)[] = [];
  const teller = new ProgressPublisher(async ({ done }) => {
    told.push(done);
    await new Promise<void>((resolve) => answers.push(resolve));
  });
  for (const done of [0, 1, 2, 3]) teller.say(reading(done));
  expect(told).toEqual([0]);
  answers[0]?.();
  await new Promise((resolve) => setImmediate(resolve));
  expect(told).toEqual([0, 3]);
  answers[1]?.();
  await teller.finish();
  teller.say(reading(1));
  expect(told).toEqual([0, 3, 1]);
});
