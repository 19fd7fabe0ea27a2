import type { Adjustment } from "../model.js";
import { median } from "../statistics/median.js";
import { indexAtOrAfter } from "../trace/series.js";

/** Fewer readings of a channel show no rate. */
const MIN_READINGS = 20;
/** Where the channel with fewer readings stands in more of the rows, the others are gaps and no rate of its own. */
const MAX_SHARE_OF_ROWS = 2 / 3;
/** Least share of the times between a channel's readings that are its interval, and how far one may be off. All limits CP. */
const MIN_REGULAR_SHARE = 0.95;
const JITTER_SHARE = 0.25;
/** Where both have as many readings but for this, the samples are those of the voltage, which tells the cutoff. */
const MAX_RATIO_OF_ALIKE = 1.02;
/** A value is taken from the line between two readings that are no farther apart, in intervals of the channel. */
const MAX_INTERVALS = 2.5;
/** The channel was read together with the slower one where it stands in so many of its rows. */
const MIN_SHARE_TOGETHER = 0.9;

/** More values tell no more of what they share. */
const MAX_VALUES = 20_000;

/** The one of voltage and current that is taken on the line between its own readings. */
export interface JoinedChannel {
  readonly channel: "voltage" | "current";
  /** From one of its readings to the next, s. */
  readonly intervalS: number;
  /** By what its noise is more than neighbouring values show, since they share readings. */
  readonly hiddenNoise: number;
}

/** The columns of a log that have a value in each row; NaN where none was logged. */
interface LoggedColumns {
  readonly time: Float64Array;
  readonly voltage: Float64Array | null;
  readonly current: Float64Array;
  readonly temperatures: readonly Float64Array[];
  readonly cells: readonly Float64Array[];
  readonly power: Float64Array | null;
  readonly charge: Float64Array | null;
  readonly energy: Float64Array | null;
  readonly lines: Uint32Array;
}

/** The readings of a channel that has a rate of its own. */
interface Rate {
  readonly rows: readonly number[];
  readonly intervalS: number;
}

/**
 * Definition 2c: a log whose voltage and current come at rates of their own, each with empty cells where the other one was read, as one row for each reading of the slower one,
 * with the other one on the line between its own readings. Readings of all other channels stand in the row nearest to each. A log without such a pattern is left as it is.
 */
export function joinRates<Channels extends LoggedColumns>(
  channels: Channels,
): {
  readonly channels: Channels & { readonly joined?: JoinedChannel | null };
  readonly adjustments: readonly Adjustment[];
} {
  const unchanged = { channels, adjustments: [] };
  const { time, current, lines } = channels;
  const volts = channels.voltage ?? channels.cells[0];
  if (!volts || !areApart(volts, current)) return unchanged;
  const [ofVoltage, ofCurrent] = [rateOf(time, volts), rateOf(time, current)];
  if (!ofVoltage || !ofCurrent) return unchanged;
  const isVoltageSlower = ofVoltage.rows.length <= MAX_RATIO_OF_ALIKE * ofCurrent.rows.length;
  const [slower, faster] = isVoltageSlower ? [ofVoltage, ofCurrent] : [ofCurrent, ofVoltage];
  const [firstS, lastS] = [time[faster.rows[0] as number] as number, time[faster.rows.at(-1) as number] as number];
  const rows = slower.rows.filter((row) => (time[row] as number) >= firstS && (time[row] as number) <= lastS);
  if (rows.length < MIN_READINGS) return unchanged;
  const linesOf = (values: Float64Array, { intervalS }: Rate) => linesTo(time, values, rows, MAX_INTERVALS * intervalS);
  const along = (values: Float64Array, rate: Rate) => {
    const lines = linesOf(values, rate);
    return Float64Array.from(lines, (line) => valueOn(values, line));
  };
  const sparse = (values: Float64Array) => atNearest(time, values, rows);
  const orNull = (values: Float64Array | null) => values && sparse(values);
  const fasterValues = isVoltageSlower ? current : volts;
  const isTogether = rows.filter((row) => !Number.isNaN(fasterValues[row])).length >= MIN_SHARE_TOGETHER * rows.length;
  return {
    channels: {
      ...channels,
      time: Float64Array.from(rows, (row) => time[row] as number),
      voltage: channels.voltage && along(channels.voltage, ofVoltage),
      current: along(current, ofCurrent),
      temperatures: channels.temperatures.map(sparse),
      cells: channels.cells.map((values) => along(values, ofVoltage)),
      power: orNull(channels.power),
      charge: orNull(channels.charge),
      energy: orNull(channels.energy),
      lines: lines.length === 0 ? lines : Uint32Array.from(rows, (row) => lines[row] as number),
      joined: isTogether
        ? null
        : {
            channel: isVoltageSlower ? "current" : "voltage",
            intervalS: faster.intervalS,
            hiddenNoise: hiddenNoise(linesOf(fasterValues, faster).slice(0, MAX_VALUES)),
          },
    },
    adjustments: [adjustment(ofVoltage, ofCurrent, isVoltageSlower, time.length, rows.length)],
  };
}

/** Whether so many rows lack either that this is no gap here and there. */
function areApart(volts: Float64Array, current: Float64Array): boolean {
  let [withVolts, withCurrent, withAny] = [0, 0, 0];
  for (let row = 0; row < volts.length; row++) {
    const [hasVolts, hasCurrent] = [!Number.isNaN(volts[row]), !Number.isNaN(current[row])];
    if (hasVolts) withVolts++;
    if (hasCurrent) withCurrent++;
    if (hasVolts || hasCurrent) withAny++;
  }
  return Math.min(withVolts, withCurrent) <= MAX_SHARE_OF_ROWS * withAny;
}

/** The rate of a channel; null where its readings come at no regular times. */
function rateOf(time: Float64Array, values: Float64Array): Rate | null {
  const rows: number[] = [];
  for (let row = 0; row < values.length; row++) if (!Number.isNaN(values[row])) rows.push(row);
  if (rows.length < MIN_READINGS) return null;
  const steps = Float64Array.from({ length: rows.length - 1 }, (_, k) => {
    return (time[rows[k + 1] as number] as number) - (time[rows[k] as number] as number);
  });
  const intervalS = median(steps);
  const regular = steps.filter((step) => Math.abs(step - intervalS) <= JITTER_SHARE * intervalS).length;
  return intervalS > 0 && regular >= MIN_REGULAR_SHARE * steps.length ? { rows, intervalS } : null;
}

/** On the line between two readings of a channel, by their rows: `share` of the way to the later one. */
interface Line {
  readonly before: number;
  readonly after: number;
  readonly share: number;
}

/** For each of some rows that rise, where it lies between readings of a channel; null where these are farther apart than `maxGapS`. */
function linesTo(
  time: Float64Array,
  values: Float64Array,
  rows: readonly number[],
  maxGapS: number,
): readonly (Line | null)[] {
  let [before, after] = [-1, -1];
  return rows.map((row) => {
    while (after < row) {
      if (after >= 0 && !Number.isNaN(values[after])) before = after;
      after++;
    }
    while (after < values.length && Number.isNaN(values[after])) after++;
    if (after === row) return { before: row, after: row, share: 0 };
    if (before < 0 || after === values.length) return null;
    const [beforeS, afterS] = [time[before] as number, time[after] as number];
    if (!(afterS - beforeS <= maxGapS)) return null;
    const share = afterS > beforeS ? ((time[row] as number) - beforeS) / (afterS - beforeS) : 0;
    return { before, after, share };
  });
}

function valueOn(values: Float64Array, line: Line | null): number {
  if (!line) return Number.NaN;
  const [from, to] = [values[line.before] as number, values[line.after] as number];
  if (!Number.isFinite(from)) return from;
  return Number.isFinite(to) ? from + (to - from) * line.share : to;
}

/**
 * By what independent noise of the readings is more than what second differences of values between them show: neighbouring values share readings. Second differences of
 * weights w_kj of the readings j in the values k have the mean square E for noise of 1, and the mean of n values the variance L / n, L = sum over j of (sum over k of w_kj)^2 / n.
 * It is the root of 6 L / E (derived).
 */
function hiddenNoise(lines: readonly (Line | null)[]): number {
  const total = new Map<number, number>();
  const weightsOf = (line: Line | null): readonly (readonly [number, number])[] =>
    line
      ? [
          [line.before, 1 - line.share],
          [line.after, line.share],
        ]
      : [];
  let [bends, count] = [0, 0];
  for (const [k, line] of lines.entries()) {
    for (const [row, weight] of weightsOf(line)) total.set(row, (total.get(row) ?? 0) + weight);
    if (k < 2) continue;
    const bend = new Map<number, number>();
    for (const [at, factor] of [1, -2, 1].entries()) {
      for (const [row, weight] of weightsOf(lines[k - at] as Line | null)) {
        bend.set(row, (bend.get(row) ?? 0) + factor * weight);
      }
    }
    for (const weight of bend.values()) bends += weight * weight;
    count++;
  }
  const means = [...total.values()].reduce((sum, weight) => sum + weight * weight, 0) / lines.length;
  return bends > 0 ? Math.max(1, Math.sqrt((6 * means * count) / bends)) : 1;
}

/** The readings of a channel, each in the row nearest to it. */
function atNearest(time: Float64Array, values: Float64Array, rows: readonly number[]): Float64Array {
  const read = new Float64Array(rows.length).fill(Number.NaN);
  const instants = Float64Array.from(rows, (row) => time[row] as number);
  for (let row = 0; row < values.length; row++) {
    if (Number.isNaN(values[row])) continue;
    const at = time[row] as number;
    const after = Math.min(indexAtOrAfter(instants, at), rows.length - 1);
    const isBefore = after > 0 && at - (instants[after - 1] as number) < (instants[after] as number) - at;
    read[isBefore ? after - 1 : after] = values[row] as number;
  }
  return read;
}

function adjustment(voltage: Rate, current: Rate, isVoltageSlower: boolean, rows: number, samples: number): Adjustment {
  const every = ({ intervalS }: Rate) => `every ${Number(intervalS.toPrecision(2))} s`;
  const [slower, faster] = isVoltageSlower ? ["voltage", "current"] : ["current", "voltage"];
  return {
    kind: "rates-joined",
    message: `The log has a voltage ${every(voltage)} and a current ${every(current)}, with empty cells between. The readings of the ${slower} were taken as samples, the ${faster} on the line between its own. Log both in each row for the rate of the faster one.`,
    before: rows,
    after: samples,
    unit: "rows",
  };
}
