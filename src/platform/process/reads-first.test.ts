import { setTimeout as delay } from "node:timers/promises";
import { beforeEach, expect, it } from "@jest/globals";
import { ReadsFirst } from "./reads-first.js";

let now: number;
let share: number;
let readsFirst: ReadsFirst;
beforeEach(() => {
  now = 0;
  share = 0.9;
  readsFirst = new ReadsFirst({ now: () => now, share: () => share });
});

/** Begins pieces of work that can wait; tells which have begun. */
function begin(count: number, patienceMs: number): number[] {
  const begun: number[] = [];
  for (let number = 0; number < count; number++) void readsFirst.giveWay(patienceMs).then(() => begun.push(number));
  return begun;
}

/** As many looks as a busy machine needs for a few. */
async function looks(): Promise<void> {
  for (let i = 0; i < 6; i++) await delay(50);
}

/** Reads and looks until something is so. */
async function until(isSo: () => boolean): Promise<void> {
  while (!isSo()) {
    now += 50;
    readsFirst.noteRead();
    await delay(10);
  }
}

it("work begins at once where nobody reads, and where the thread has room: a piece, and the others when its share is known", async () => {
  const alone = begin(3, 1e9);
  await Promise.resolve();
  expect(alone).toEqual([0, 1, 2]);
  share = 0.3;
  now = 4_000;
  readsFirst.noteRead();
  const beside = begin(3, 1e9);
  await Promise.resolve();
  expect(beside).toEqual([0]);
  await until(() => beside.length === 3);
  expect(beside).toEqual([0, 1, 2]);
});

it("work waits in order while reads need the thread, and begins a piece at a time when they do not", async () => {
  readsFirst.noteRead();
  const begun = begin(4, 1e9);
  await looks();
  expect(begun).toEqual([]);
  share = 0.3;
  const steps: number[] = [];
  await until(() => {
    if (begun.length !== steps.at(-1)) steps.push(begun.length);
    return begun.length === 4;
  });
  expect(begun).toEqual([0, 1, 2, 3]);
  expect(steps).toEqual([0, 1, 2, 3, 4]);
});

it("work begins five times a second where the thread is at work for half of the time, however long that lasts", async () => {
  share = 0.5;
  for (let i = 0; i < 100; i++) {
    now += 50;
    readsFirst.noteRead();
  }
  const before = now;
  const begun = begin(6, 1e9);
  await Promise.resolve();
  expect(begun).toEqual([0]);
  await until(() => begun.length === 6);
  expect(now - before).toBeGreaterThanOrEqual(1_000);
});

it("work begins when its patience is over, however busy reads are, and other work waits on", async () => {
  readsFirst.noteRead();
  const patient = begin(1, 1e9);
  const hasty = begin(1, 200);
  await until(() => now === 150);
  expect(hasty).toEqual([]);
  await until(() => hasty.length === 1);
  expect(now).toBeGreaterThanOrEqual(200);
  expect(patient).toEqual([]);
  share = 0;
  await until(() => patient.length === 1);
});

it("all that waits begins when nobody has read for a second", async () => {
  readsFirst.noteRead();
  const begun = begin(5, 1e9);
  now = 1_001;
  while (begun.length < 5) await delay(10);
  expect(begun).toEqual([0, 1, 2, 3, 4]);
});

it("measures how much of the time this thread is at work", async () => {
  const real = new ReadsFirst();
  const work = (ms: number) => {
    const end = performance.now() + ms;
    while (performance.now() < end);
  };
  real.noteRead();
  work(100);
  real.noteRead();
  const begun = performance.now();
  const waiting = real.giveWay(300);
  while (performance.now() - begun < 250) {
    work(60);
    real.noteRead();
    await new Promise(setImmediate);
  }
  await waiting;
  expect(performance.now() - begun).toBeGreaterThanOrEqual(299);
});
