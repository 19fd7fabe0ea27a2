import { describe, expect, test } from "@jest/globals";
import fc from "fast-check";
import type { Trace } from "../model.js";
import { decodeTrace, encodeTrace, TRACE_ENCODING } from "./encode.js";

const finite = fc.double({ noNaN: true, noDefaultInfinity: true });
const decimal = fc.integer({ min: -2_000_000, max: 2_000_000 }).map((n) => n / 1000);

const traceOf = (cell: fc.Arbitrary<number>): fc.Arbitrary<Trace> =>
  fc.array(fc.tuple(cell, cell, cell, cell), { minLength: 1, maxLength: 200 }).map((rows) => {
    const column = (index: 0 | 1 | 2 | 3) => Float64Array.from(rows, (row) => row[index]);
    return { time: column(0), voltage: column(1), current: column(2), temperature: column(3) };
  });

describe("an encoded trace", () => {
  test("comes back to the last bit, whatever its values", () => {
    fc.assert(
      fc.property(fc.oneof(traceOf(finite), traceOf(decimal)), (trace) => {
        expect(decodeTrace(TRACE_ENCODING, encodeTrace(trace))).toEqual(trace);
      }),
      { numRuns: 300 },
    );
  });

  test("keeps a missing temperature missing", () => {
    const one = Float64Array.of(1);
    const trace = { time: one, voltage: one, current: one, temperature: null };
    expect(decodeTrace(TRACE_ENCODING, encodeTrace(trace)).temperature).toBeNull();
  });

  test("takes under a quarter of its raw size for a log with the digits of a logger, zero and onset moved", () => {
    const samples = 20_000;
    const wave = (i: number, size: number) => Math.round(1000 * size * Math.sin(i / 900)) / 1000;
    const trace = {
      time: Float64Array.from({ length: samples }, (_, i) => i / 50 - 3.2371),
      voltage: Float64Array.from({ length: samples }, (_, i) => 15 + wave(i, 1)),
      current: Float64Array.from({ length: samples }, (_, i) => 100 + wave(i, 8) - 0.173),
      temperature: null,
    };
    expect(encodeTrace(trace).length).toBeLessThan((samples * 3 * 8) / 4);
    expect(decodeTrace(TRACE_ENCODING, encodeTrace(trace))).toEqual(trace);
  });

  test("of an unknown encoding is refused", () => {
    expect(() => decodeTrace("other", new Uint8Array())).toThrow("unknown trace encoding");
  });
});
