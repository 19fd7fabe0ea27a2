import type { LoadKind } from "../model.js";
import { median } from "../statistics/median.js";
import { LogError } from "../table/log-error.js";
import type { Samples } from "./samples.js";

/** A sensor at the end of its range gives one number at least so often, for so long, s, ... */
const MIN_HELD_SAMPLES = 8;
const MIN_HELD_SECONDS = 0.5;
/** ... so many times as often as any other number under load, or so many times as often in a row, ... */
const MIN_TIMES_OTHERS = 3;
/** ... while elsewhere at least half of so many neighbours differ, ... */
const MIN_NEIGHBOURS = 20;
/** ... and what it reads moves meanwhile by so many times as much as these do at the median. All limits CP. */
const MIN_TIMES_CHANGE = 5;
/** Numbers that differ by no more than this, relatively, have the same digits. */
const SAME_VALUE = 1e-9;

/** The samples under load, `to` exclusive, and those of the rest before it. */
export interface LoadedSamples {
  readonly restFrom: number;
  readonly from: number;
  readonly to: number;
}

interface Held {
  readonly value: number;
  readonly count: number;
  readonly first: number;
  readonly last: number;
  /** The median change between neighbours elsewhere, in the channel's unit. */
  readonly usualChange: number;
}

/**
 * Definition 12a: refuses a log in which current or voltage stands at the end of its sensor's range under load. What the pack did beyond it was
 * not measured. Under a load that holds its current, nothing tells it of the current.
 *
 * @throws LogError `log-over-range`
 */
export function refuseOverRange(samples: Samples, loaded: LoadedSamples, load: LoadKind): void {
  const { voltage, current } = samples;
  const holdsCurrent = load === "constant-current";
  const highest = holdsCurrent ? null : heldAt(samples, current, Math.max, loaded);
  if (highest && isEndOfRange(highest, Math.abs(highest.value) * shareMoved(voltage, highest))) {
    throw overRange("current", "A", "largest", highest, loaded, samples);
  }
  for (const [most, which] of [
    [Math.max, "largest"],
    [Math.min, "smallest"],
  ] as const) {
    const held = heldAt(samples, voltage, most, loaded);
    if (!held) continue;
    const movedV = holdsCurrent ? usualFall(samples, held, loaded) : Math.abs(held.value) * shareMoved(current, held);
    if (isEndOfRange(held, movedV)) throw overRange("voltage", "V", which, held, loaded, samples);
  }
}

const isEndOfRange = ({ usualChange }: Held, moved: number): boolean => moved >= MIN_TIMES_CHANGE * usualChange;

/** The largest or smallest number of a channel under load, where it comes as often as no sensor with noise repeats itself. */
function heldAt(
  { time }: Samples,
  values: Float64Array,
  most: (a: number, b: number) => number,
  { restFrom, from, to }: LoadedSamples,
): Held | null {
  let value = values[from] as number;
  for (let i = from; i < to; i++) value = most(value, values[i] as number);
  const all = timesOf(values, from, to);
  const { count, inARow } = all.get(value) as Times;
  const inOthers = othersOf(all, value);
  const standsOut = (own: number, others: number) => own >= Math.max(MIN_HELD_SAMPLES, MIN_TIMES_OTHERS * others);
  if (!standsOut(count, inOthers.count) && !standsOut(inARow, inOthers.inARow)) return null;
  const first = values.indexOf(value, from);
  const last = values.subarray(0, to).lastIndexOf(value);
  if ((time[last] as number) - (time[first] as number) < MIN_HELD_SECONDS) return null;
  const changes = changesElsewhere(values, value, restFrom, to);
  return changes && { value, count, first, last, usualChange: median(changes) };
}

interface Times {
  readonly count: number;
  /** The most in a row. */
  readonly inARow: number;
}

/** How often each number comes. */
function timesOf(values: Float64Array, from: number, to: number): ReadonlyMap<number, Times> {
  const found = new Map<number, Times>();
  let inARow = 0;
  for (let i = from; i < to; i++) {
    const value = values[i] as number;
    inARow = i > from && value === values[i - 1] ? inARow + 1 : 1;
    const { count, inARow: most } = found.get(value) ?? { count: 0, inARow: 0 };
    found.set(value, { count: count + 1, inARow: Math.max(most, inARow) });
  }
  return found;
}

/** The most that any other number comes, and comes in a row. */
function othersOf(all: ReadonlyMap<number, Times>, value: number): Times {
  let [most, mostInARow] = [0, 0];
  for (const [other, { count, inARow }] of all) {
    if (other === value) continue;
    most = Math.max(most, count);
    mostInARow = Math.max(mostInARow, inARow);
  }
  return { count: most, inARow: mostInARow };
}

/** The changes between neighbours that are not at a number; null where the channel shows no noise there. */
function changesElsewhere(values: Float64Array, held: number, from: number, to: number): Float64Array | null {
  const changes: number[] = [];
  let pairs = 0;
  for (let i = from + 1; i < to; i++) {
    const [before, value] = [values[i - 1] as number, values[i] as number];
    if (before === held || value === held) continue;
    pairs++;
    const change = Math.abs(value - before);
    if (change > SAME_VALUE * Math.abs(value)) changes.push(change);
  }
  return pairs >= MIN_NEIGHBOURS && changes.length >= pairs / 2 ? Float64Array.from(changes) : null;
}

/** By what share of itself a channel moves while another one is held: the range of its means over quarters of that time. */
function shareMoved(values: Float64Array, { first, last }: Held): number {
  const means = [0, 1, 2, 3].map((quarter) => {
    const from = first + Math.floor((quarter * (last + 1 - first)) / 4);
    const to = first + Math.floor(((quarter + 1) * (last + 1 - first)) / 4);
    return values.subarray(from, to).reduce((sum, value) => sum + value, 0) / (to - from);
  });
  return (Math.max(...means) - Math.min(...means)) / Math.abs(means[0] as number);
}

/** By how much the voltage would have fallen with the charge drawn while it was held, V: as fast as before, or else after. */
function usualFall({ time, voltage }: Samples, { first, last, value }: Held, { from, to }: LoadedSamples): number {
  const [beforeS, afterS, heldS] = [
    (time[first] as number) - (time[from] as number),
    (time[to - 1] as number) - (time[last] as number),
    (time[last] as number) - (time[first] as number),
  ];
  const at = beforeS > afterS ? from : to - 1;
  const seconds = Math.max(beforeS, afterS);
  return seconds > 0 ? (Math.abs((voltage[at] as number) - value) * heldS) / seconds : 0;
}

function overRange(
  channel: "current" | "voltage",
  unit: string,
  which: string,
  { value, count, first }: Held,
  { from, to }: LoadedSamples,
  { time, lines }: Samples,
): LogError {
  const since = ((time[first] as number) - (time[from] as number)).toFixed(1);
  const line = lines[first];
  return new LogError(
    "log-over-range",
    `The ${channel} stands at ${value} ${unit}, its ${which} number, in ${count} of the ${to - from} samples under load, the first ${since} s after the load came on, and nowhere else does it repeat a number like that: the range of its sensor ends there, and what the pack did beyond it was not measured. Set a wider range and test again.`,
    line === undefined ? [] : [{ line, message: `first ${channel} of ${value} ${unit}` }],
  );
}
