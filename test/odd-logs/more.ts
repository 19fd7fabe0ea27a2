import type { HonestCourse } from "./honest-course.js";
import type { OddKind } from "./kinds.js";
import { amperes, type Cell, celsius, HEADER, plainRow, rowOf, seconds, tableOf, volts } from "./written.js";

const START = Date.UTC(2026, 4, 30, 21, 59, 30);
const zoned =
  (hours: number): Cell =>
  ({ s }) =>
    new Date(START + Math.round(1000 * s) + hours * 3_600_000).toISOString().slice(0, 23).replace(".", ",") +
    `+0${hours}:00`;
const padded =
  (cell: Cell, width: number): Cell =>
  (reading, index) =>
    String(cell(reading, index)).padStart(width, "0");
const quoted =
  (cell: Cell): Cell =>
  (reading, index) =>
    `" ${cell(reading, index)} "`;

/** More odd ways of logging an honest run. */
export const MORE: Readonly<Record<string, OddKind>> = {
  "two columns of text, one before the readings": {
    lines: (course) =>
      tableOf(course, "Time [s],State,Voltage [V],Current [A],Note", (one) =>
        rowOf(one, [seconds, ({ A }) => (A > 1 ? "DISCHARGE" : "REST"), volts, amperes, () => "ok"]),
      ),
  },
  "a mode in words and a flag between the readings": {
    lines: (course) =>
      tableOf(course, "Mode,Time [s],Voltage [V],Flag,Current [A]", (one) =>
        rowOf(one, [() => "CC", seconds, volts, () => "no", amperes]),
      ),
  },
  "a zone beside decimal commas": {
    lines: (course) =>
      tableOf(course, "Timestamp;Voltage [V];Current [A]", (one) =>
        rowOf(
          one,
          [
            zoned(2),
            (r, i) => String(volts(r, i)).replace(".", ","),
            (r, i) => String(amperes(r, i)).replace(".", ","),
          ],
          ";",
        ),
      ),
  },
  "names in capitals with underscores": {
    lines: (course) =>
      tableOf(course, "TIME_MS,BATT_VOLTAGE_MV,BATT_CURRENT_MA,BATT_TEMP_C", (one) =>
        rowOf(one, [
          ({ s }) => Math.round(1000 * s),
          ({ V }) => Math.round(1000 * V),
          ({ A }) => Math.round(1000 * A),
          celsius,
        ]),
      ),
  },
  "means and extremes below": {
    lines: (course) => [
      ...tableOf(course, HEADER, plainRow),
      "Average,14.21,85.20,41.0",
      "Max,16.80,120.00,52.0",
      "Min,13.10,0.00,21.0",
    ],
    reported: ["lines-passed-over"],
  },
  "leading zeros": {
    lines: (course) =>
      tableOf(course, HEADER, (one) =>
        rowOf({ ...one, A: Math.abs(one.A) }, [
          padded(seconds, 10),
          padded(volts, 7),
          padded(amperes, 7),
          padded(celsius, 6),
        ]),
      ),
  },
  "spaces inside quotes": {
    lines: (course) =>
      tableOf(course, '"Time [s]","Voltage [V]","Current [A]"', (one) =>
        rowOf(one, [quoted(seconds), quoted(volts), quoted(amperes)]),
      ),
  },
  "remarks between the rows": {
    lines: (course) => tableOf(course, HEADER, (one, i) => `${i % 80 === 40 ? `# marker ${i}\n` : ""}${plainRow(one)}`),
    reported: ["lines-passed-over"],
  },
  "a row number, a date and a clock before the readings": {
    lines: (course) =>
      tableOf(course, "No.,Date,Time,Voltage [V],Current [A]", (one, i) => {
        const at = new Date(START + Math.round(1000 * one.s)).toISOString();
        return `${i + 1},${at.slice(0, 10)},${at.slice(11, 23)},${volts(one, i)},${amperes(one, i)}`;
      }),
  },
  "voltage with its leads swapped": {
    lines: (course) => tableOf(course, HEADER, (one) => plainRow({ ...one, V: -one.V })),
    reported: ["voltage-turned"],
  },
  "a pause of 0.8 s of the logger": {
    needs: { rateHz: 10 },
    lines: (course: HonestCourse) => [
      HEADER,
      ...course.readings.filter(({ s }) => !(s > 40 && s < 40.7)).map(plainRow),
    ],
  },
  "each row twice": {
    lines: (course) => tableOf(course, HEADER, (one) => `${plainRow(one)}\n${plainRow(one)}`),
    reported: ["duplicates-merged"],
  },
  "the last value held in a faster table": {
    needs: { rateHz: 10 },
    lines: ({ readings }) => [
      HEADER,
      ...readings.flatMap((one) => [0, 0.02, 0.04, 0.06, 0.08].map((dt) => plainRow({ ...one, s: one.s + dt }))),
    ],
  },
};
