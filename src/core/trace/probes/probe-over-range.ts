import { LogError } from "../../table/log-error.js";
import type { LoadedSamples } from "../over-range.js";
import type { Samples } from "../samples.js";
import { decimalDigit } from "./digit-of.js";
import { isOnLine } from "./on-line.js";
import { type Stand, standOf } from "./stand.js";

/** A probe at the end of its range gives its highest number so often, ... */
const MIN_READINGS = 4;
/** ... after it rose by so much, K, and by so many times what it changes by from one number to the next, ... */
const MIN_RISEN_K = 5;
const MIN_RISEN_CHANGES = 6;
/** ... where it should have risen by so much more, K, and by so many times that, ... */
const MIN_MISSED_K = 2;
const MIN_MISSED_CHANGES = 12;
/** ... while the load goes on to heat the pack by at least so large a share of what it did on the way. All limits CP. */
const MIN_HEAT_SHARE = 0.5;
/** Rows were filled in where at least so many lie on a line. */
const MIN_FILLED_SHARE = 0.5;

/**
 * Definition 12b: refuses a log in which a temperature probe stands at the end of its range under load. How hot the pack got beyond it was not
 * measured, and a pack that passed its limit there would be taken for one that did not.
 *
 * @param to the end of the part of the log that is read, exclusive: an honest probe that cools after the load had not been far above
 * @throws LogError `log-over-range`
 */
export function refuseProbesOverRange(samples: Samples, loaded: LoadedSamples, to: number): void {
  const { time, current, probes } = samples;
  probes.forEach((celsius, i) => {
    const stand = standOf({ time, celsius, current, from: loaded.from, to: loaded.to });
    if (!stand || !isEndOfRange(stand) || fallsAfter(celsius, stand, to)) return;
    if (isFilledIn(time, celsius, loaded.from, stand.first)) return;
    const name = probes.length > 1 ? `temperature of probe ${i + 1} of ${probes.length}` : "temperature";
    throw overRange(name, stand, loaded, samples);
  });
}

const isEndOfRange = ({ readings, risenK, missedK, changeK, heatShare }: Stand): boolean =>
  readings >= MIN_READINGS &&
  risenK >= Math.max(MIN_RISEN_K, MIN_RISEN_CHANGES * changeK) &&
  missedK >= Math.max(MIN_MISSED_K, MIN_MISSED_CHANGES * changeK) &&
  heatShare >= MIN_HEAT_SHARE;

/** Whether a probe leaves its highest number downwards once the load is off. */
const fallsAfter = (celsius: Float64Array, stand: Stand, to: number): boolean =>
  celsius.subarray(stand.last + 1, to).some((value) => value < stand.celsius);

/** Whether most samples before were filled in between readings: then the last of these stands for as long as the next one is away. */
function isFilledIn(time: Float64Array, celsius: Float64Array, from: number, to: number): boolean {
  const digitK = decimalDigit(celsius.subarray(from, to));
  let filledIn = 0;
  for (let i = from; i < to; i++) if (isOnLine(time, celsius, i, digitK)) filledIn++;
  return filledIn >= MIN_FILLED_SHARE * (to - from);
}

function overRange(name: string, stand: Stand, { from }: LoadedSamples, { time, lines }: Samples): LogError {
  const { celsius, first, readings, missedK } = stand;
  const since = ((time[first] as number) - (time[from] as number)).toFixed(1);
  const line = lines[first];
  return new LogError(
    "log-over-range",
    `The ${name} stands at ${celsius} degC, its largest number, to the end of the load, for ${readings} readings from ${since} s after the load came on, while its course before would have taken it ${Number(missedK.toPrecision(2))} K higher: the range of its probe ends there, and how hot the pack got was not measured. Take a probe with a wider range, or set one, and test again. To have the electrical figures of this run alone, upload the log with the column map {"temperature":null}.`,
    line === undefined ? [] : [{ line, message: `first ${name} of ${celsius} degC` }],
  );
}
