import type { Trace } from "../model.js";
import { integrate, mean } from "../trace/series.js";
import { combining, type FigureFormula } from "./formula.js";
import type { ChosenReadingKey, Reading } from "./reading.js";

/** A stretch of the trace that a reader chose. All in s from onset. */
export interface ChosenWindow {
  /** Power, voltage, current and temperature are means from here to there. */
  readonly meanFromS: number;
  readonly meanToS: number;
  /** Charge and energy are integrals from here to there. */
  readonly sumFromS: number;
  readonly sumToS: number;
}

const SECONDS_PER_HOUR = 3600;

/** What is read in each window that lies before the end of reading. */
export function chosenReadings(
  trace: Trace,
  power: Float64Array,
  windows: readonly ChosenWindow[],
  endS: number,
): Map<ChosenReadingKey, Reading> {
  const reads = new Map<ChosenReadingKey, Reading>();
  const { time, voltage, current, temperature } = trace;
  windows.forEach(({ meanFromS, meanToS, sumFromS, sumToS }, i) => {
    if (Math.max(meanToS, sumToS) > endS) return;
    const readMean = (channel: "power" | "voltage" | "current" | "temperature", values: Float64Array) =>
      reads.set(`chosen-${i}-${channel}`, {
        value: mean(time, values, meanFromS, meanToS),
        channel,
        meanOverS: meanToS - meanFromS,
      });
    const readSum = (name: "charge" | "energy", channel: "current" | "power", values: Float64Array) =>
      reads.set(`chosen-${i}-${name}`, {
        value: integrate(time, values, sumFromS, sumToS) / SECONDS_PER_HOUR,
        channel,
        integralOverS: sumToS - sumFromS,
        integralFactor: 1 / SECONDS_PER_HOUR,
      });
    readMean("power", power);
    readMean("voltage", voltage);
    readMean("current", current);
    if (temperature) readMean("temperature", temperature);
    readSum("charge", "current", current);
    readSum("energy", "power", power);
  });
  return reads;
}

const UNITS = { power: "W", voltage: "V", current: "A", temperature: "degC" } as const;

/** The figures of the windows chosen: means in W, V, A and degC, charge in mAh, energy in Wh; each key ends in what it is of. */
export function chosenFormulas(windows: readonly ChosenWindow[]): FigureFormula[] {
  return windows.flatMap((_, i): FigureFormula[] => [
    ...(["power", "voltage", "current"] as const).map((name) => formula(i, name, UNITS[name])),
    formula(i, "charge", "mAh", 1000),
    formula(i, "energy", "Wh"),
    { ...formula(i, "temperature", UNITS.temperature), ownLoadOnly: true },
  ]);
}

function formula(i: number, name: keyof typeof UNITS | "charge" | "energy", unit: string, factor = 1): FigureFormula {
  const key: ChosenReadingKey = `chosen-${i}-${name}`;
  return { key, unit, from: combining([key], ([value = Number.NaN]) => value * factor) };
}
