import { extremeOf, type HonestCourse, type Reading } from "./honest-course.js";
import type { OddKind } from "./kinds.js";
import { amperes, type Cell, celsius, HEADER, markedWhere, rowOf, seconds, tableOf, volts } from "./written.js";

/** What instruments, converters and scripts write for a reading beyond the range. */
const BEYOND = [
  "OL",
  "-OL",
  "O.L",
  "OVLD",
  "overload",
  "inf",
  "+9.90000000E+37",
  "1e38",
  "65535",
  "-32768",
  "327.67",
  "9999",
];
/** What they write where there is none. */
const NO_READING = ["NaN", "9.91E37", "----", "- - -", "n/a", "Err"];

/** Marks as columns hold them, by what they are of. */
interface Marked {
  readonly voltage?: (reading: Reading, index: number) => boolean;
  readonly current?: (reading: Reading, index: number) => boolean;
  readonly temperature?: (reading: Reading, index: number) => boolean;
}

const never = () => false;

const marked = (mark: string, of: (course: HonestCourse) => Marked, needs?: OddKind["needs"]): OddKind => ({
  ...(needs ? { needs } : {}),
  lines: (course) => {
    const { voltage = never, current = never, temperature = never } = of(course);
    const cells: Cell[] = [
      seconds,
      markedWhere(voltage, mark, volts),
      markedWhere(current, mark, amperes),
      markedWhere(temperature, mark, celsius),
    ];
    return tableOf(course, HEADER, (reading, index) => rowOf(reading, cells, ",", index));
  },
});

const largestA = (course: HonestCourse) => extremeOf(course, ({ A }) => A, 1);
const isLoaded =
  (course: HonestCourse) =>
  ({ A }: Reading): boolean =>
    A > 0.3 * largestA(course);

/** Where marks do no harm to a run. */
const harmless = (mark: string): Readonly<Record<string, OddKind>> => ({
  [`${mark} for the current in the first second`]: marked(mark, () => ({ current: ({ s }) => s < 1 })),
  [`${mark} for the voltage in the first second`]: marked(mark, () => ({ voltage: ({ s }) => s < 1 })),
  [`${mark} in one row of 150`]: marked(mark, () => ({ current: (_, index) => index % 150 === 100 })),
  [`${mark} for the temperature under load`]: marked(mark, (course) => ({ temperature: isLoaded(course) })),
  [`${mark} in columns that are not read`]: {
    lines: (course) =>
      tableOf(course, "Time [s],Throttle [%],Voltage [V],Current [A],RPM", (reading) =>
        rowOf(reading, [seconds, () => mark, volts, amperes, () => mark]),
      ),
  },
});

/** Logs with marks that are to be read, with every figure within its uncertainty. */
export const MARKED_READ: Readonly<Record<string, OddKind>> = Object.assign(
  {},
  ...[...BEYOND, ...NO_READING].map(harmless),
);

/** Logs with marks in place of a sensor's readings beyond its range, which are to be refused. */
export const MARKED_OVER_RANGE: Readonly<Record<string, OddKind>> = Object.assign(
  {},
  ...BEYOND.map((mark) => ({
    [`${mark} for currents beyond 80 %`]: marked(
      mark,
      (course) => ({ current: ({ A }) => A > 0.8 * largestA(course) }),
      { variesCurrent: true },
    ),
    [`${mark} for each current under load`]: marked(mark, (course) => ({ current: isLoaded(course) })),
    [`${mark} for the highest voltages`]: marked(mark, (course) => {
      const most = extremeOf(course, ({ V }) => V, 0.9);
      return { voltage: ({ V }) => V > most };
    }),
    [`${mark} for the lowest voltages`]: marked(mark, (course) => {
      const least = extremeOf(course, ({ V }) => V, 0.1);
      return { voltage: ({ V }) => V < least };
    }),
  })),
);

/** Logs whose rows without a reading are told, with where the first of them is. */
export const MARKED_UNUSABLE: Readonly<Record<string, OddKind>> = Object.assign(
  {},
  ...NO_READING.map((mark) => ({
    [`${mark} for one current of ten under load`]: marked(mark, (course) => ({
      current: (reading, index) => index % 10 === 0 && isLoaded(course)(reading),
    })),
    [`${mark} at rest`]: marked(mark, (course) => ({ current: (reading) => !isLoaded(course)(reading) })),
  })),
  ...BEYOND.map((mark) => ({
    [`${mark} for the current at rest`]: marked(mark, (course) => ({
      current: (reading) => !isLoaded(course)(reading),
    })),
    [`${mark} for the voltage at rest`]: marked(mark, (course) => ({
      voltage: (reading) => !isLoaded(course)(reading),
    })),
  })),
);
