import { expect, test } from "@jest/globals";
import fc from "fast-check";
import {
  DELIMITERS,
  ENCODINGS,
  LANGUAGES,
  LINE_ENDS,
  type Shape,
  TIME_FORMS,
  UNIT_STYLES,
  type WholeSample,
  writeLog,
} from "../../../test/support/written-log.js";
import { readLog } from "./read-log.js";

const samples: fc.Arbitrary<readonly WholeSample[]> = fc
  .array(
    fc.record({
      step: fc.integer({ min: 200, max: 1500 }),
      mV: fc.integer({ min: 9000, max: 26_000 }),
      cA: fc.integer({ min: 250, max: 30_000 }),
      dC: fc.integer({ min: -50, max: 900 }),
    }),
    { minLength: 60, maxLength: 90 },
  )
  .map((rows) => {
    let ms = 0;
    return rows.map(({ step, ...readings }) => {
      ms += step;
      return { ms, ...readings };
    });
  });

const shape: fc.Arbitrary<Shape> = fc
  .record({
    delimiter: fc.constantFrom(...DELIMITERS),
    decimalMark: fc.constantFrom(".", ","),
    lineEnd: fc.constantFrom(...LINE_ENDS),
    encoding: fc.constantFrom(...ENCODINGS),
    language: fc.constantFrom(...(Object.keys(LANGUAGES) as Shape["language"][])),
    unitStyle: fc.constantFrom(...UNIT_STYLES),
    timeForm: fc.constantFrom(...TIME_FORMS),
    voltageUnit: fc.constantFrom("V", "mV"),
    currentUnit: fc.constantFrom("A", "mA"),
    temperatureUnit: fc.constantFrom("degC", "degF", "K"),
    preamble: fc.constantFrom(
      [],
      ["Bench 4; hall B", "Range,60,200", "Serial: 12345", ""],
      ['"Note, in two\nlines";3', "Offset;0,5", "Pack | new"],
      ["# 16.8 V at rest, 21.5 degC"],
    ),
    quoted: fc.constantFrom("all", "headers", "where needed"),
    order: fc.array(fc.integer({ min: 0, max: 99 }), { minLength: 7, maxLength: 7 }),
    extraColumns: fc.boolean(),
    negative: fc.boolean(),
    lastLineEnds: fc.boolean(),
    gzip: fc.boolean(),
  } satisfies { [key in keyof Shape]: fc.Arbitrary<Shape[key]> })
  .filter(isLegal);

/** What no honest logger writes, or what must be refused. */
function isLegal(shape: Shape): boolean {
  const { delimiter, decimalMark, encoding, language, timeForm, quoted, preamble } = shape;
  // From -5 to 90 degC are degrees of no other unit that could be told by magnitude.
  if (shape.unitStyle === "none" && shape.temperatureUnit !== "degC") return false;
  if (encoding === "latin-1" && language === "Polish") return false;
  if (delimiter === "   " && (timeForm === "isoBlank" || quoted !== "where needed" || preamble.length > 0))
    return false;
  // Unquoted, a comma between commas would be a delimiter.
  return delimiter !== "," || decimalMark === "." || quoted === "all";
}

const tolerance = { seconds: 1e-6, volts: 1e-9, amperes: 1e-9, degrees: 1e-9 };

test("a run written in any honest shape reads back the same, to the digits written", async () => {
  await fc.assert(
    fc.asyncProperty(samples, shape, async (written, how) => {
      const { channels } = await readLog([writeLog(written, how)], 1 << 24);
      const first = written[0] as WholeSample;
      const origin = channels.time[0] as number;
      expect(channels.time.length).toBe(written.length);
      written.forEach(({ ms, mV, cA, dC }, row) => {
        const off = {
          seconds: (channels.time[row] as number) - origin - (ms - first.ms) / 1000,
          volts: (channels.voltage?.[row] as number) - mV / 1000,
          amperes: (channels.current[row] as number) * (how.negative ? -1 : 1) - cA / 100,
          degrees: (channels.temperatures[0]?.[row] as number) - dC / 10,
        };
        for (const [quantity, by] of Object.entries(off)) {
          if (!(Math.abs(by) <= tolerance[quantity as keyof typeof tolerance])) {
            throw new Error(`row ${row}: ${quantity} off by ${by}`);
          }
        }
      });
    }),
    { numRuns: 600, seed: 20_260_502 },
  );
});
