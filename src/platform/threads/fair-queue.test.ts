import { expect, it } from "@jest/globals";
import fc from "fast-check";
import { FairQueue } from "./fair-queue.js";

const all = () => true;

function order(queue: FairQueue<string>, count: number): string[] {
  return Array.from({ length: count }, () => queue.take(all) ?? "nothing");
}

it("serves somebody's only one next, however many of another's wait", () => {
  const queue = new FairQueue<string>();
  for (let i = 0; i < 250; i++) queue.add("a", `a${i}`);
  expect(order(queue, 2)).toEqual(["a0", "a1"]);
  queue.add("b", "b0");
  expect(order(queue, 3)).toEqual(["b0", "a2", "a3"]);
});

it("serves by turns those of whom several wait, each in the order in which they came", () => {
  const queue = new FairQueue<string>();
  for (const one of ["a0", "a1", "a2", "b0", "b1", "c0"]) queue.add(one.charAt(0), one);
  expect(order(queue, 7)).toEqual(["a0", "b0", "c0", "a1", "b1", "a2", "nothing"]);
});

it("passes over what may not begin yet, and keeps it", () => {
  const queue = new FairQueue<string>();
  for (const one of ["long 0", "long 1", "short"]) queue.add(one, one);
  expect(queue.take((item) => !item.startsWith("long"))).toBe("short");
  expect(queue.take((item) => !item.startsWith("long"))).toBeUndefined();
  expect(order(queue, 2)).toEqual(["long 0", "long 1"]);
});

// The bound of start-time fair queueing with equal shares and costs, from memory: P. Goyal, H. M. Vin, H. Cheng, "Start-time Fair Queuing", SIGCOMM 1996.
it("lets nobody's n-th that waits stand behind more than n + 1 of anybody else", () => {
  const step = fc.oneof(fc.constantFrom("a", "b", "c", "d"), fc.constant(null));
  fc.assert(
    fc.property(fc.array(step, { maxLength: 200 }), (steps) => {
      const queue = new FairQueue<{ share: string; rank: number; from: number }>();
      const served: string[] = [];
      const waiting = new Map<string, number>();
      const serve = () => {
        const next = queue.take(all);
        if (!next) return false;
        waiting.set(next.share, (waiting.get(next.share) ?? 0) - 1);
        for (const other of ["a", "b", "c", "d"].filter((one) => one !== next.share)) {
          const before = served.slice(next.from).filter((one) => one === other).length;
          expect(before).toBeLessThanOrEqual(next.rank + 1);
        }
        served.push(next.share);
        return true;
      };
      for (const share of steps) {
        if (share === null) {
          serve();
          continue;
        }
        const rank = (waiting.get(share) ?? 0) + 1;
        waiting.set(share, rank);
        queue.add(share, { share, rank, from: served.length });
      }
      while (serve());
      expect(served).toHaveLength(steps.filter((one) => one !== null).length);
    }),
    { numRuns: 500, seed: 11 },
  );
});
