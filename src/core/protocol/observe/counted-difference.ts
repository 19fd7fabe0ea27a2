import { integrate } from "../../trace/series.js";
import { type Observation, type RunUnderTest, within } from "../rule.js";

const SECONDS_PER_HOUR = 3600;

/**
 * Difference between what the logger counted under load and the integral of a rate over the same time, in % of the
 * latter.
 *
 * @param counted the counter, in a unit per hour; null when it was not logged
 * @param rate gives what is integrated, as logged; asked only when there is a counter
 */
export function countedDifference(
  test: RunUnderTest,
  counted: Float64Array | null,
  rate: () => Float64Array,
  maximum: number,
): Observation | null {
  const span = countedSpan(test, counted);
  if (!span) return null;
  const { fromS, toS } = span;
  const expected = integrate(test.run.trace.time, rate(), fromS, toS) / SECONDS_PER_HOUR;
  return within(100 * Math.abs(Math.abs(span.counted) / expected - 1), { maximum }, { fromS, toS });
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
