import { expect, test } from "@jest/globals";
import fc from "fast-check";
import { KNOWN_RUN } from "../../../test/support/known-run.js";
import { strangeLogs } from "../../../test/support/strange-logs.js";
import { LogError } from "../table/log-error.js";
import { type LogChannels, readLog } from "./read-log.js";

const SAMPLES = KNOWN_RUN.slice(10, 60);
const RUNS = 600;
/** Numbers of which all have one comma with three digits behind it may mean thousands; such a log is refused by right. */
const MAX_REFUSED_SHARE = 0.02;
const near = (a: number, b: number) => Math.abs(a - b) < 1e-6;

/** What of a reading is not the pack's own, or null. */
function wrongIn(channels: LogChannels, hasTemperature: boolean): string | null {
  const { time, voltage, current, temperatures } = channels;
  if (time.length !== SAMPLES.length) return `${time.length} rows`;
  if (temperatures.length !== (hasTemperature ? 1 : 0)) return `${temperatures.length} temperatures`;
  const start = SAMPLES[0]?.ms ?? 0;
  for (const [row, { ms, mV, cA, dC }] of SAMPLES.entries()) {
    if (!near((time[row] as number) - (time[0] as number), (ms - start) / 1000)) return `time of row ${row}`;
    if (!near(voltage?.[row] ?? Number.NaN, mV / 1000)) return `voltage of row ${row}`;
    if (!near(Math.abs(current[row] as number), cA / 100)) return `current of row ${row}`;
    if (hasTemperature && !near(temperatures[0]?.[row] as number, dC / 10)) return `temperature of row ${row}`;
  }
  return null;
}

test("a log of any headers is read as the pack's own, or refused; never silently wrong", async () => {
  const outcomes = { read: 0, refused: 0, refusedInVain: 0 };
  await fc.assert(
    fc.asyncProperty(strangeLogs(SAMPLES), async ({ text, mustBeRead, hasTemperature }) => {
      try {
        const { channels } = await readLog([Buffer.from(text)], 1 << 24);
        expect([text.slice(0, 300), wrongIn(channels, hasTemperature)]).toEqual([text.slice(0, 300), null]);
        outcomes.read++;
      } catch (error) {
        if (!(error instanceof LogError)) throw error;
        expect(error.places.length).toBeGreaterThan(0);
        outcomes.refused++;
        if (mustBeRead) outcomes.refusedInVain++;
      }
    }),
    { numRuns: RUNS, seed: 20_260_502 },
  );
  expect(outcomes.read).toBeGreaterThan(RUNS / 3);
  expect(outcomes.refused).toBeGreaterThan(RUNS / 10);
  expect(outcomes.refusedInVain).toBeLessThan(RUNS * MAX_REFUSED_SHARE);
}, 300_000);
