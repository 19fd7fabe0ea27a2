import type { HonestCourse, Reading } from "./honest-course.js";
import type { OddKind } from "./kinds.js";
import { amperes, type Cell, celsius, HEADER, rowOf, seconds, volts } from "./written.js";

/** Which rows hold a reading: every so many, from one on. */
interface Rate {
  readonly every: number;
  readonly from?: number;
}

const holds = ({ every, from = 0 }: Rate, index: number): boolean => index % every === from;

/** A log whose columns are read at rates of their own; rows without a reading are left out. */
const atRates =
  (voltage: Rate, current: Rate, temperature: Rate, head = HEADER): OddKind["lines"] =>
  ({ readings }: HonestCourse) => {
    const cell =
      (rate: Rate, read: Cell): Cell =>
      (reading: Reading, index: number) =>
        holds(rate, index) ? read(reading, index) : "";
    const cells = [seconds, cell(voltage, volts), cell(current, amperes), cell(temperature, celsius)];
    const rates = [voltage, current, temperature];
    return [
      head,
      ...readings.flatMap((reading, index) =>
        rates.some((rate) => holds(rate, index)) ? [rowOf(reading, cells, ",", index)] : [],
      ),
    ];
  };

const joined = (needs: OddKind["needs"], lines: OddKind["lines"], fails: readonly string[] = []): OddKind => ({
  needs: { ...needs, afterSeconds: 15 },
  lines,
  reported: ["rates-joined"],
  fails,
});
const SLOW = ["sampling-rate", "largest-gap", "load-rise"];

const seldom = (every: number): OddKind => ({
  needs: { rateHz: 10 },
  lines: atRates({ every: 1 }, { every: 1 }, { every }),
});

/** Logs of instruments with rates of their own, which are to be read, with every figure within its uncertainty. */
export const TWO_RATES: Readonly<Record<string, OddKind>> = {
  "a temperature every second": seldom(10),
  "a temperature every 5 s": seldom(50),
  "a temperature every 10 s": seldom(100),
  "a voltage with every tenth current, once a second": joined(
    { rateHz: 10 },
    atRates({ every: 10 }, { every: 1 }, { every: 100 }),
    SLOW,
  ),
  "a current with every fifth voltage": joined({ rateHz: 50 }, atRates({ every: 1 }, { every: 5 }, { every: 250 })),
  "voltage and current in turns": joined(
    { rateHz: 20 },
    atRates({ every: 2 }, { every: 2, from: 1 }, { every: 20, from: 1 }),
  ),
  "voltage and current in turns, slowly": joined(
    { rateHz: 2 },
    atRates({ every: 2 }, { every: 2, from: 1 }, { every: 2 }),
    SLOW,
  ),
  "voltage, current and temperature in turns": joined(
    { rateHz: 30 },
    atRates({ every: 3 }, { every: 3, from: 1 }, { every: 3, from: 2 }),
  ),
  "a voltage of its own beside every fourth current": joined(
    { rateHz: 40 },
    atRates({ every: 4, from: 1 }, { every: 2 }, { every: 40 }),
  ),
};
