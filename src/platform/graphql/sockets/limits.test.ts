import { describe, expect, it } from "@jest/globals";
import { MessageAllowance } from "./message-allowance.js";
import { Room } from "./room.js";

describe("room", () => {
  it("is full for one holder at its limit and for all at theirs, and free again when a place is given back", () => {
    const room = new Room({ ofOne: 2, ofAll: 3 });
    const leave = room.take("a");
    room.take("a");
    expect([room.hasFor("a"), room.hasFor("b")]).toEqual([false, true]);
    room.take("b");
    expect([room.hasFor("b"), room.hasFor("c")]).toEqual([false, false]);
    leave();
    leave();
    expect([room.hasFor("a"), room.hasFor("c")]).toEqual([true, true]);
    room.take("a");
    expect(room.hasFor("c")).toBe(false);
  });
});

describe("the allowance of messages", () => {
  const taken = (allowance: MessageAllowance, times: number, atMs: number) =>
    Array.from({ length: times }, () => allowance.take(atMs)).filter(Boolean).length;

  it("ends within one moment, and comes back with time, but never more than at first", () => {
    const allowance = new MessageAllowance(0);
    const first = taken(allowance, 10_000, 0);
    expect(first).toBeLessThan(100);
    expect(taken(allowance, 10_000, 1_000)).toBeGreaterThan(0);
    expect(taken(allowance, 10_000, 1_000)).toBe(0);
    expect(taken(allowance, 10_000, 3_600_000)).toBe(first);
  });
});
