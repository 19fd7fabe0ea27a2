import type { Samples } from "../../trace/samples.js";
import { integrate } from "../../trace/series.js";
import { type Rule, type RunUnderTest, within } from "../rule.js";

interface Counter {
  readonly id: string;
  readonly what: string;
  readonly integral: string;
  readonly counted: (samples: Samples) => Float64Array | null;
  /** What is integrated, as logged. */
  readonly rate: (samples: Samples) => Float64Array;
}

/** Difference between what the logger counted and the integral over the same time, in % of the latter. */
function counterRule({ id, what, integral, counted, rate }: Counter): Rule {
  return {
    id,
    assess: (test, limit) => {
      const span = countedSpan(test, counted(test.run.samples));
      if (!span) return null;
      const expected = integrate(test.run.trace.time, rate(test.run.samples), span.fromS, span.toS) / 3600;
      const difference = 100 * Math.abs(Math.abs(span.counted) / expected - 1);
      return within(difference, { maximum: limit("maximumPercent") }, { fromS: span.fromS, toS: span.toS });
    },
    seen: (observed) => `The logged ${what} differs from the integral of the ${integral} by ${observed}`,
    missing: `The log has no ${what} column.`,
    advice: `Check which columns were read as voltage, current and ${what}, and in which units.`,
  };
}

/** What was counted between the first and the last number under load, and when those were. */
function countedSpan({ run }: RunUnderTest, values: Float64Array | null) {
  if (!values) return null;
  const { time } = run.trace;
  const usable = (i: number) =>
    Number.isFinite(values[i]) && (time[i] as number) >= 0 && (time[i] as number) <= run.stop.endS;
  const first = time.findIndex((_, i) => usable(i));
  const last = time.findLastIndex((_, i) => usable(i));
  if (first < 0 || last <= first) return null;
  const counted = (values[last] as number) - (values[first] as number);
  return { counted, fromS: time[first] as number, toS: time[last] as number };
}

export const CHARGE_AGREES = counterRule({
  id: "charge-agrees",
  what: "charge",
  integral: "current",
  counted: (samples) => samples.loggedCharge,
  rate: (samples) => samples.current,
});
export const ENERGY_AGREES = counterRule({
  id: "energy-agrees",
  what: "energy",
  integral: "power",
  counted: (samples) => samples.loggedEnergy,
  rate: ({ voltage, current }) => voltage.map((volts, i) => volts * (current[i] as number)),
});
