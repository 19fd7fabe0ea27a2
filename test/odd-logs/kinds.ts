import { type CourseNeeds, extremeOf, type HonestCourse, type Reading } from "./honest-course.js";
import {
  amperes,
  type Cell,
  clockOf,
  counterOf,
  HEADER,
  inThousands,
  localTime,
  plainRow,
  rowOf,
  SHORT_HEADER,
  seconds,
  tableOf,
  volts,
  withComma,
} from "./written.js";

/** One odd way of logging an honest run. */
export interface OddKind {
  readonly needs?: CourseNeeds;
  readonly lines: (course: HonestCourse) => readonly string[];
  /** Adjustments that must be reported. */
  readonly reported?: readonly string[];
  /** Required rules that such a log fails by its nature. */
  readonly fails?: readonly string[];
}

const short =
  (time: Cell, head = SHORT_HEADER): OddKind["lines"] =>
  (course) =>
    tableOf(course, head, (reading) => rowOf(reading, [time, volts, amperes]));
const set = (hours: number): OddKind => ({
  lines: (course) => short(localTime(course, hours))(course),
  reported: ["clock-set"],
});
const setClock = (hours: number): OddKind => ({
  lines: (course) => {
    const local = localTime(course, hours);
    return short((reading) => local(reading).slice(11))(course);
  },
  reported: ["clock-set"],
});
const wraps = (bits: number, unit: string, unitS: number, isSigned = false): OddKind => ({
  lines: short(counterOf(bits, unitS, isSigned), `Time [${unit}],Voltage [V],Current [A]`),
  reported: ["clock-rolled-over"],
});
const below = (...more: readonly string[]): OddKind => ({
  lines: (course) => [...tableOf(course, HEADER, plainRow), "", ...more],
  reported: ["lines-passed-over"],
});
const above = (...more: readonly string[]): OddKind => ({
  lines: (course) => [...more, "", ...tableOf(course, HEADER, plainRow)],
});
const scientific =
  (pick: (reading: Reading) => number, digits: number): Cell =>
  (reading) =>
    pick(reading).toExponential(digits).toUpperCase();
const everyTime = [({ s }: Reading) => s, ({ V }: Reading) => V, ({ A }: Reading) => A] as const;
const scaled = (mark: string): readonly Cell[] =>
  everyTime.map((pick) => (reading) => inThousands((1000 * pick(reading)).toFixed(1), mark));

/** Charge as a logger counts it, mAh. */
function counted({ readings }: HonestCourse, sign: number): number[] {
  let charge = 0;
  return readings.map(({ s, A }, i) => {
    charge += (sign * A * (s - (readings[i - 1]?.s ?? 0))) / 3.6;
    return charge;
  });
}

/** Logs that are to be read, with every figure within its uncertainty. */
export const READ: Readonly<Record<string, OddKind>> = {
  "units in a row of their own": {
    lines: (course) => tableOf(course, ["Time,Voltage,Current,Temp", "s,V,A,degC", ""], plainRow),
  },
  "a summary above": above("Summary", "Capacity [mAh],4812", "Energy [Wh],71.2"),
  "a summary of steps above": above("Step,Duration [s],Capacity [mAh],Energy [Wh]", "1,150.2,4812,71.2", "2,0,0,0"),
  "a summary of steps below": below("Step,Duration [s],Capacity [mAh],Energy [Wh]", "1,150.2,4812,71.2", "2,0,0,0"),
  "a table of cells below": below(
    "Cell,Resistance [mohm],Voltage [V]",
    ...Array.from({ length: 30 }, (_, i) => `${i + 1},2.${i},3.${i}`),
  ),
  "the header twice": { lines: (course) => tableOf(course, [HEADER, HEADER], plainRow) },
  "the header again on each page": {
    lines: (course) =>
      tableOf(course, HEADER, (reading, i) => `${i % 50 === 49 ? `${HEADER}\n` : ""}${plainRow(reading)}`),
    reported: ["lines-passed-over"],
  },
  "summer time begins": set(1),
  "summer time ends": set(-1),
  "summer time begins, no date": setClock(1),
  "summer time ends, no date": setClock(-1),
  "a zone of half an hour": set(-0.5),
  "hours of rest before": {
    needs: { restSeconds: 7200, rateHz: 5.5, stepSeconds: 0.05 },
    lines: (course) => tableOf(course, HEADER, plainRow),
  },
  "hours after": {
    needs: { afterSeconds: 7200, rateHz: 5.5, stepSeconds: 0.05 },
    lines: (course) => tableOf(course, HEADER, plainRow),
  },
  "points between thousands, decimal commas": {
    lines: (course) =>
      tableOf(course, "Zeit [ms];Spannung [mV];Strom [mA]", (reading) =>
        scaled("'")
          .map((cell) => String(cell(reading, 0)).replace(".", ",").replaceAll("'", "."))
          .join(";"),
      ),
  },
  "commas between thousands, quoted": {
    lines: (course) =>
      tableOf(course, "Time [ms],Voltage [mV],Current [mA]", (reading) =>
        scaled(",")
          .map((cell) => `"${cell(reading, 0)}"`)
          .join(","),
      ),
  },
  "powers of ten": {
    lines: (course) =>
      tableOf(course, "Time [s];Voltage [V];Current [A]", (reading) =>
        everyTime.map((pick) => withComma(scientific(pick, 7))(reading, 0)).join(";"),
      ),
  },
  "the unit in each cell": {
    lines: (course) =>
      tableOf(
        course,
        "Time,Voltage,Current,Temp",
        (one) =>
          `${one.s.toFixed(4)} s,${one.V.toFixed(3)} V,${Math.abs(one.A) < 1 ? `${(1000 * one.A).toFixed(0)} mA` : `${one.A.toFixed(2)} A`},${one.degC.toFixed(1)} °C`,
      ),
  },
  "h:mm:ss,f": {
    lines: (course) =>
      tableOf(course, "Zeit;Spannung [V];Strom [A]", (one) =>
        rowOf(one, [({ s }) => clockOf(s, ","), withComma(volts), withComma(amperes)], ";"),
      ),
  },
  "ms of 16 bits": wraps(16, "ms", 1e-3),
  "ms of 16 bits with a sign": wraps(16, "ms", 1e-3, true),
  "ms of 32 bits": wraps(32, "ms", 1e-3),
  "us of 32 bits": wraps(32, "us", 1e-6),
  "ms of 24 bits": wraps(24, "ms", 1e-3),
  "hundredths of 16 bits": wraps(16, "10ms", 1e-2),
  "discharge negative": {
    lines: (course) => tableOf(course, HEADER, (one) => plainRow({ ...one, A: -one.A })),
    reported: ["current-turned"],
  },
  "power and voltage alone": {
    lines: (course) =>
      tableOf(course, "Time [s],Voltage [V],Power [W]", (one) =>
        rowOf(one, [seconds, volts, ({ V, A }) => (V * A).toFixed(2)]),
      ),
    reported: ["current-derived"],
  },
  "a counter of charge beside": {
    lines: (course) => {
      const charge = counted(course, 1);
      return tableOf(
        course,
        "Time [s],Voltage [V],Current [A],Capacity [mAh]",
        (one, i) => `${rowOf(one, [seconds, volts, amperes])},${charge[i]?.toFixed(0)}`,
      );
    },
  },
  "a counter of charge that counts down": {
    lines: (course) => {
      const charge = counted(course, -1);
      return tableOf(
        course,
        "Time [s],Voltage [V],Current [A],Charge [mAh]",
        (one, i) => `${rowOf(one, [seconds, volts, amperes])},${charge[i]?.toFixed(0)}`,
      );
    },
  },
  "one sample a second": {
    needs: { rateHz: 1 },
    lines: (course) => tableOf(course, HEADER, plainRow),
    fails: ["sampling-rate", "largest-gap", "load-rise"],
  },
  "fourteen cells": { needs: { series: 14 }, lines: (course) => tableOf(course, HEADER, plainRow) },
  "fourteen cells, mV and mA without units": {
    needs: { series: 14 },
    lines: (course) =>
      tableOf(course, "t,U,I", (one) => everyTime.map((pick) => Math.round(1000 * pick(one))).join(",")),
    reported: ["unit-implied"],
  },
};

const currentUpTo = (share: number): OddKind => ({
  needs: { variesCurrent: true },
  lines: (course) => {
    const most = share * extremeOf(course, ({ A }) => A, 1);
    return tableOf(course, HEADER, (one) => plainRow({ ...one, A: Math.min(one.A, most) }));
  },
});

/** Logs of sensors at the end of their range, which are to be refused. */
export const OVER_RANGE: Readonly<Record<string, OddKind>> = {
  "current up to 60 % of the largest": currentUpTo(0.6),
  "current up to 90 % of the largest": currentUpTo(0.9),
  "voltage at its highest": {
    lines: (course) => {
      const most = extremeOf(course, ({ V }) => V, 0.8);
      return tableOf(course, HEADER, (one) => plainRow({ ...one, V: Math.min(one.V, most) }));
    },
  },
  "voltage at its lowest": {
    lines: (course) => {
      const least = extremeOf(course, ({ V }) => V, 0.1);
      return tableOf(course, HEADER, (one) => plainRow({ ...one, V: Math.max(one.V, least) }));
    },
  },
};
