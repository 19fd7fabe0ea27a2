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

it("tells nothing of what is over while it is quiet, and the newest of what takes longer", async () => {
  const told: number[] = [];
  const send = async ({ done }: RunProgress) => {
    told.push(done);
  };
  const short = new ProgressPublisher(send, 3_600_000);
  for (const done of [0, 1]) short.say(reading(done));
  await short.finish();
  expect(told).toEqual([]);
  const long = new ProgressPublisher(send, 1);
  for (const done of [0, 1]) long.say(reading(done));
  while (told.length === 0) await new Promise((resolve) => setImmediate(resolve));
  long.say(reading(2));
  await long.finish();
  expect(told).toEqual([1, 2]);
});
