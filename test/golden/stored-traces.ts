import { expect, test } from "@jest/globals";
import { decodeTrace, encodeTrace, TRACE_ENCODING } from "../../src/core/trace/encode.js";
import { evaluatedDemo } from "./evaluated-demo.js";

/** Four channels as doubles take 32, and took 5.3 where each sample's whole numbers were packed without what is expected of them (docs/performance.md, "Storage"). */
const MAX_BYTES_A_SAMPLE = 5.3;
const MEAN_BYTES_A_SAMPLE = 2.1;
/** Of the demo. */
export function testStoredTraces(): void {
  test("the demo's traces are stored in few bytes a sample, and come back to the last bit", async () => {
    const tooLarge: unknown[] = [];
    let [bytes, samples] = [0, 0];
    for (const [{ key }, { trace, readings }] of await evaluatedDemo()) {
      const stored = encodeTrace(trace, readings);
      expect([key, decodeTrace(TRACE_ENCODING, stored)]).toEqual([key, trace]);
      const ofOne = stored.length / trace.time.length;
      if (ofOne > MAX_BYTES_A_SAMPLE) tooLarge.push([key, ofOne]);
      if (!trace.temperature) continue;
      bytes += stored.length;
      samples += trace.time.length;
    }
    expect(tooLarge).toEqual([]);
    expect(samples).toBeGreaterThan(100_000);
    expect(bytes / samples).toBeLessThan(MEAN_BYTES_A_SAMPLE);
  });
}
