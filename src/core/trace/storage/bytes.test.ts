import { describe, expect, it } from "@jest/globals";
import { ByteReader, ByteWriter } from "./bytes.js";

const MAX_COUNT = Number.MAX_SAFE_INTEGER;
const MAX_INTEGER = 2 ** 52;

function written(write: (to: ByteWriter) => void): Buffer {
  const to = new ByteWriter();
  write(to);
  return to.whole();
}

describe("bytes that are written one after the other", () => {
  it("come back in their order, whatever their kinds", () => {
    const counts = [0, 127, 128, 300, 2 ** 32, MAX_COUNT];
    const integers = [0, -1, 1, -64, 64, MAX_INTEGER, -MAX_INTEGER];
    const floats = [0, -0, 0.1, Number.MIN_VALUE, -Number.MAX_VALUE];
    const block = Uint8Array.from({ length: 1_000 }, (_, i) => i % 256);
    const from = new ByteReader(
      written((to) => {
        for (const count of counts) to.count(count);
        for (const integer of integers) to.integer(integer);
        for (const float of floats) to.float(float);
        to.block(block);
        to.byte(255);
      }),
    );
    expect(counts.map(() => from.count())).toEqual(counts);
    expect(integers.map(() => from.integer())).toEqual(integers);
    expect(floats.map(() => from.float())).toEqual(floats);
    expect(Uint8Array.from(from.block(block.length))).toEqual(block);
    expect(from.byte()).toBe(255);
  });

  it.each<[string, (to: ByteWriter) => void, (from: ByteReader) => unknown]>([
    ["a byte", (to) => to.byte(1), (from) => from.byte()],
    ["a count", (to) => to.count(MAX_COUNT), (from) => from.count()],
    ["an integer", (to) => to.integer(-MAX_INTEGER), (from) => from.integer()],
    ["a float", (to) => to.float(0.1), (from) => from.float()],
    ["a block", (to) => to.block(Uint8Array.of(1, 2, 3)), (from) => from.block(3)],
  ])("are refused where %s ends too early", (_, write, read) => {
    const whole = written(write);
    expect(() => read(new ByteReader(whole))).not.toThrow();
    for (let length = 0; length < whole.length; length++) {
      expect(() => read(new ByteReader(whole.subarray(0, length)))).toThrow(RangeError);
    }
  });

  it("are refused where a number goes on for longer than any that is written", () => {
    expect(() => new ByteReader(new Uint8Array(16).fill(0x80)).count()).toThrow(RangeError);
  });
});
