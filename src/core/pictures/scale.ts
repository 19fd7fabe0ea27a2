import { nice, tickStep, ticks } from "d3-array";
import { log } from "../numerics/library.js";
import { decimalExponent, powerOfTen } from "../numerics/powers.js";
import type { Quantity } from "./picture.js";

/** An axis: where a value lies in px, and its round ticks with their texts. */
export interface Scale {
  readonly at: (value: number) => number;
  readonly ticks: readonly { readonly value: number; readonly text: string }[];
}

export interface ScaleOptions {
  /** Where the least and the largest value lie, px. */
  readonly range: readonly [number, number];
  /** About how many ticks there are. */
  readonly count: number;
  /** Whether the axis goes on to round values at both ends. */
  readonly rounded: boolean;
}

/** An axis over values, of which those that are no numbers are left out; without any, one without ticks. */
export function linearScale(values: Iterable<number>, { range: [from, to], count, rounded }: ScaleOptions): Scale {
  const known = [...values].filter(isDrawable);
  const [lowest, high] = widened(least(known), largest(known));
  const low = lowest < 0 && -lowest < NOISE_SHARE * high ? 0 : lowest;
  const [start, stop] = rounded ? nice(low, high, count) : [low, high];
  const at = (value: number) => from + ((value - start) / (stop - start)) * (to - from);
  if (known.length === 0) return { at, ticks: [] };
  const step = tickStep(start, stop, count);
  return { at, ticks: ticks(start, stop, count).map((value) => ({ value, text: tickText(value, step) })) };
}

/** The axis of a quantity over its values. */
export const scaleOf = ({ isLogarithmic = false }: Pick<Quantity, "isLogarithmic">) =>
  isLogarithmic ? logarithmicScale : linearScale;

/** Round numbers of a decade, and how far apart whole decades are where there is room for no more. */
const DECADES: readonly (readonly [digits: readonly number[], every: number])[] = [
  [[1, 2, 5], 1],
  [[1, 3], 1],
  ...[1, 2, 3, 5, 10, 20, 50, 100].map((every) => [[1], every] as const),
];
/** Fewer round numbers of decades than this say little of where one is: then ticks are as even as on a linear axis. */
const MIN_TICKS = 3;

/** An axis on which equal ratios are equally far apart, over the values above zero; what is not above zero lies at its start. */
export function logarithmicScale(values: Iterable<number>, { range: [from, to], count, rounded }: ScaleOptions): Scale {
  const known = [...values].filter((value) => value > 0 && isDrawable(value));
  const [low, high] = known.length === 0 ? [1, 10] : widened(least(known), largest(known));
  const round = roundValues(low, high, count);
  const inside = round.filter((value) => value >= low && value <= high);
  const isEven = inside.length < MIN_TICKS && high < 10 * low;
  const goesOn = rounded && !isEven;
  const start = (goesOn ? round.findLast((value) => value <= low) : null) ?? low;
  const stop = (goesOn ? round.find((value) => value >= high) : null) ?? high;
  const at = (value: number) => from + (value <= start ? 0 : log(value / start) / log(stop / start)) * (to - from);
  if (known.length === 0) return { at, ticks: [] };
  if (isEven) {
    const step = tickStep(low, high, count);
    return { at, ticks: ticks(low, high, count).map((value) => ({ value, text: tickText(value, step) })) };
  }
  const shown = round.filter((value) => value >= start && value <= stop);
  return {
    at,
    ticks: shown.map((value) => ({ value, text: tickText(value, powerOfTen(decimalExponent(value * ROUND))) })),
  };
}

/** Round numbers from below the least to above the largest value, about `count` of which lie between. */
function roundValues(low: number, high: number, count: number): number[] {
  const [first, last] = [decimalExponent(low) - 1, decimalExponent(high) + 1];
  const all = DECADES.map(([digits, every]) => {
    const exponents = Array.from({ length: last - first + 1 }, (_, i) => first + i).filter((one) => one % every === 0);
    return exponents.flatMap((exponent) => digits.map((digit) => digit * powerOfTen(exponent)));
  });
  const within = (some: readonly number[]) => some.filter((value) => value >= low && value <= high).length;
  return all.find((some) => within(some) <= count) ?? (all.at(-1) as number[]);
}

const least = (values: readonly number[]) => values.reduce((a, b) => Math.min(a, b), Number.POSITIVE_INFINITY);
const largest = (values: readonly number[]) => values.reduce((a, b) => Math.max(a, b), Number.NEGATIVE_INFINITY);

/** A span that is wide enough to be drawn: around a single value, or none. */
function widened(low: number, high: number): [number, number] {
  if (low > high) return [0, 1];
  const least = Math.max(Math.abs(low), Math.abs(high)) * 1e-9;
  if (high - low > least) return [low, high];
  const half = Math.abs(low) * 0.05 || 1;
  return [low - half, high + half];
}

/** So little below zero is noise about it, for which an axis does not go on to another tick. */
const NOISE_SHARE = 0.02;

/** Beyond it differences of values are no numbers. */
const MAX_VALUE = 1e150;

export const isDrawable = (value: number): boolean => Math.abs(value) < MAX_VALUE;

/** Steps are round but for their last digits, which may lie below a power of ten. */
const ROUND = 1 + 1e-9;

const SUPERSCRIPTS = "⁰¹²³⁴⁵⁶⁷⁸⁹";

/** A tick to the decimals of its step, digits in groups of three from five on (ISO 80000-1, 7.3.1); by powers of ten where it is very large or small. */
export function tickText(value: number, step: number): string {
  const place = decimalExponent(step * ROUND);
  if (value === 0 && place < -5) return "0";
  if (value !== 0 && (Math.abs(value) >= 1e7 || place < -5)) {
    const exponent = decimalExponent(value * ROUND);
    const digits = Math.max(0, exponent - place);
    const power = [...String(Math.abs(exponent))].map((digit) => SUPERSCRIPTS[Number(digit)]).join("");
    return `${signed((value / powerOfTen(exponent)).toFixed(digits))}×10${exponent < 0 ? "⁻" : ""}${power}`;
  }
  const [whole = "", decimals] = value.toFixed(Math.max(0, -place)).split(".");
  const grouped = Math.abs(value) < 10_000 ? whole : whole.replaceAll(/\B(?=(\d{3})+$)/g, "\u00a0");
  return signed(decimals ? `${grouped}.${decimals}` : grouped);
}

/** With a minus sign in place of a hyphen, and none before zero. */
const signed = (text: string): string => (/^-[0.]*$/.test(text) ? text.slice(1) : text.replace("-", "−"));
