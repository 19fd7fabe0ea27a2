/** Clocks are set from one zone's time to another's, or to summer time, by whole quarters of an hour: by half an hour to fourteen hours. */
const QUARTER_S = 900;
const MIN_QUARTERS = 2;
const MAX_QUARTERS = 56;
/** Beside that, the time between two rows is what it is elsewhere: up to so many of the log's usual intervals, and no longer than this, s. */
const MAX_INTERVALS = 3;
const MAX_INTERVAL_S = 5;

/** A pause of just such a length shows in the readings: they go on within so many times what they change by in so many steps before and after, ... */
const MAX_TIMES_USUAL_CHANGE = 3;
const STEPS_BESIDE = 10;
/** ... under a load of so much of the largest. All limits CP. */
const MIN_LOAD_SHARE = 0.1;

/** How a clock was set while the log was written. */
export interface ClockSet {
  /** By how much, s: forward, or back where it is negative. */
  readonly byS: number;
  /** The first row after that, from 0. */
  readonly row: number;
}

/**
 * Carries on the time of day where its clock was set once on the way, by whole quarters of an hour, as at the change to summer time or to another
 * zone: the only step of the log that is not a usual one. A step forward may also be a pause of such a length; it is none where the load and the
 * voltage go on as if nothing had been.
 *
 * @param seconds what each row reads; changed in place after the clock was set
 * @param load current or power of each row
 * @param voltages of the pack, or of its cells
 * @returns null where it was not
 */
export function carryOnSetClock(
  seconds: Float64Array,
  load: Float64Array | null,
  voltages: readonly Float64Array[],
): ClockSet | null {
  const steps = new Float64Array(Math.max(0, seconds.length - 1));
  for (let row = 1; row < seconds.length; row++) {
    steps[row - 1] = (seconds[row] as number) - (seconds[row - 1] as number);
  }
  const usualS = steps.toSorted()[steps.length >> 1] ?? Number.NaN;
  const mostS = MAX_INTERVALS * usualS;
  if (!(usualS > 0 && usualS <= MAX_INTERVAL_S)) return null;
  const at = steps.findIndex((step) => !(step >= 0 && step <= mostS));
  if (at < 0 || steps.subarray(at + 1).some((step) => !(step >= 0 && step <= mostS))) return null;
  const step = steps[at] as number;
  // What is left beside whole quarters is the time between both rows, which is never negative.
  const quarters = Math.floor(step / QUARTER_S + Number.EPSILON * Math.abs(step));
  const left = step - quarters * QUARTER_S;
  if (Math.abs(quarters) < MIN_QUARTERS || Math.abs(quarters) > MAX_QUARTERS || left > mostS) return null;
  const isPause = !load || !isLoaded(load, at) || ![load, ...voltages].every((values) => goesOn(values, at));
  if (quarters > 0 && isPause) return null;
  const byS = quarters * QUARTER_S;
  for (let row = at + 1; row < seconds.length; row++) seconds[row] = (seconds[row] as number) - byS;
  return { byS, row: at + 1 };
}

/** Whether a load is on in the row `at` and the next one. */
function isLoaded(load: Float64Array, at: number): boolean {
  const largest = load.reduce((most, value) => Math.max(most, Number.isNaN(value) ? 0 : Math.abs(value)), 0);
  return [at, at + 1].every((row) => Math.abs(load[row] as number) >= MIN_LOAD_SHARE * largest);
}

/** Whether a channel changes from the row `at` to the next one as it does before and after. */
function goesOn(values: Float64Array, at: number): boolean {
  const change = (row: number) => Math.abs((values[row + 1] as number) - (values[row] as number));
  let usual = 0;
  for (let by = 1; by <= STEPS_BESIDE; by++) {
    for (const row of [at - by, at + by]) if (change(row) > usual) usual = change(row);
  }
  return change(at) <= MAX_TIMES_USUAL_CHANGE * usual;
}
