export type MarkName = "peak" | "1s" | "10s" | "30s" | "cutoff";
type Quantity = "power" | "voltage" | "current";

export type PulseReadingKey = `${"first" | "second"}-pulse-${"voltage" | "current" | "length"}` | "second-pulse-rise";

export const CHOSEN_QUANTITIES = ["power", "voltage", "current", "temperature", "charge", "energy"] as const;
/** What is read in a window of a reader's choice, by the window's place among those chosen. */
export type ChosenReadingKey = `chosen-${number}-${(typeof CHOSEN_QUANTITIES)[number]}`;

export type ReadingKey =
  | `${Quantity}-${MarkName}`
  | "charge"
  | "energy"
  | "end"
  | "rest-voltage"
  | "start-temperature"
  | "highest-temperature"
  | "time-to-limit"
  | PulseReadingKey
  | ChosenReadingKey;

/** One number read off a trace, with the stretch that it was read over and over how many samples. */
export interface Reading {
  readonly value: number;
  readonly channel: "power" | "voltage" | "current" | "temperature" | "time";
  /** Seconds it was averaged over, when it is a mean. */
  readonly meanOverS?: number;
  /** Seconds it was integrated over, when it is an integral, with the factor to its unit. */
  readonly integralOverS?: number;
  readonly integralFactor?: number;
  /** Of the windows that begin between these instants, the one with the largest mean power or temperature was read, s. */
  readonly chosenFrom?: { readonly from: number; readonly to: number };
  /** Number of samples it is the median of, when it is one. */
  readonly medianOf?: number;
}

export type Readings = ReadonlyMap<ReadingKey, Reading>;
