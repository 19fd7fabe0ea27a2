import { expect, test } from "@jest/globals";
import fc from "fast-check";
import { spreadWithinTicks } from "./spread-ticks.js";

test("rows that were logged evenly are put back where they were, whatever part of the first and last second was logged", () => {
  fc.assert(
    fc.property(
      fc.integer({ min: 2, max: 50 }),
      fc.integer({ min: 0, max: 49 }),
      fc.integer({ min: 8, max: 20 }),
      (rate, from, spanS) => {
        const first = from % rate;
        const times = Array.from({ length: spanS * rate }, (_, i) => (first + i) / rate);
        const spread = spreadWithinTicks(Float64Array.from(times, Math.floor));
        times.forEach((time, i) => {
          expect(spread?.seconds[i]).toBeCloseTo(time, 9);
        });
        expect(spread?.adjustment).toMatchObject({ kind: "rows-spread", before: 1 });
      },
    ),
  );
});

test.each([
  ["a clock that tells its rows apart", [0, 1, 2, 3, 4, 5, 6, 7]],
  ["one row that is logged twice", [0, 1, 2, 3, 3, 4, 5, 6, 7]],
  ["a clock that goes back", [0, 0, 1, 1, 0, 0, 2, 2, 3, 3, 4, 4]],
  ["a clock that counts minutes", [0, 0, 60, 60, 120, 120, 180, 180, 240, 240, 300, 300]],
])("%s is left as it is", (_, seconds) => expect(spreadWithinTicks(Float64Array.from(seconds))).toBeNull());
