import type { Channel } from "../model.js";
import { parseUnit, type Unit } from "../units/units.js";

/** What a column without a word on its unit may be, by its numbers alone. */
export interface ImpliedUnit {
  readonly plausible: readonly Unit[];
  /** What was judged, such as "its median, 15.2". */
  readonly seen: string;
}

interface Band {
  readonly unit: string;
  readonly from: number;
  readonly to: number;
}

/**
 * What packs of models are loaded with, in base units (common practice, no published source): a median voltage of one to
 * some thirty cells, and a current of 2 A to 1 kA. The bands of a unit and of its thousandth do not touch.
 */
const VOLTS = { from: 2, to: 130 };
const CELL_VOLTS = { from: 1, to: 130 };
const AMPERES = { from: 2, to: 1000 };
/** A discharge takes 10 s to 6 h, and is sampled every 0.5 ms to 5 s. */
const SPAN_S = { from: 10, to: 21_600 };
const STEP_S = { from: 5e-4, to: 5 };
/** A time since 1970 between 2001 and 2100, s. */
const EPOCH_S = { from: 1e9, to: 4.1e9 };
const EPOCH_FROM = 1e9;
/** A count of days of a spreadsheet between 1968 and 2173, and a share of a day. */
const SERIAL_D = { from: 25_000, to: 100_000 };

/**
 * A pack is tested in a room, or a little preheated, and stays below what destroys it (common practice, no published source). In degC it begins, at its
 * coldest, below 60, since a hotter one is not tested; in degF above 41 (5 degC). From 41 to 60 either may be meant. A probe that is not
 * connected reads a cold constant.
 */
const TEMPERATURES = [
  { unit: "degC", coldest: { from: -20, to: 60 }, hottest: { from: 5, to: 120 } },
  { unit: "degF", coldest: { from: 41, to: 113 }, hottest: { from: 41, to: 250 } },
  { unit: "K", coldest: { from: 278, to: 318 }, hottest: { from: 278, to: 393 } },
];

const MAX_JUDGED = 20_001;

/** The units in which the numbers of a column are those of a pack's discharge. */
export function impliedUnit(channel: Channel, values: Float64Array, origin: number): ImpliedUnit {
  if (channel === "time") return impliedTimeUnit(values, origin);
  if (channel === "temperature") return impliedTemperatureUnit(values);
  const volts = channel === "cell" ? CELL_VOLTS : VOLTS;
  const sorted = sortedSample(channel === "current" ? values.map(Math.abs) : values);
  const judged = channel === "current" ? quantile(sorted, 0.99) : quantile(sorted, 0.5);
  const bands: Band[] =
    channel === "current"
      ? [
          { unit: "A", ...AMPERES },
          { unit: "mA", from: AMPERES.from * 1e3, to: AMPERES.to * 1e3 },
        ]
      : [
          { unit: "V", ...volts },
          { unit: "mV", from: volts.from * 1e3, to: volts.to * 1e3 },
        ];
  return {
    plausible: bands.filter(({ from, to }) => judged >= from && judged <= to).map(({ unit }) => unitOf(unit)),
    seen: `${channel === "current" ? "99 % of them are within" : "their median is"} ${rounded(judged)}`,
  };
}

/** The units in which the first rows of a log may be such a column; of times the steps alone count, since the log goes on. */
export function plausibleUnits(channel: Channel, values: Float64Array): readonly string[] {
  if (channel === "time") {
    const steps = values.subarray(1).map((value, i) => value - (values[i] as number));
    if (!steps.every((step) => step >= 0) || !(values.length > 1)) return [];
    const step = quantile(sortedSample(steps.filter((value) => value > 0)), 0.5);
    return ["s", "ms", "us", "min"].filter((symbol) => within(step * unitOf(symbol).factor, STEP_S));
  }
  const sorted = sortedSample(values.map(Math.abs));
  if (channel === "voltage") {
    const median = quantile(sorted, 0.5);
    return ["V", "mV"].filter((symbol) => within(median * unitOf(symbol).factor, VOLTS));
  }
  const most = quantile(sorted, 0.99);
  return ["A", "mA"].filter(
    (symbol) => most * unitOf(symbol).factor <= AMPERES.to && (symbol === "A" || most >= AMPERES.from * 1e3),
  );
}

function impliedTemperatureUnit(values: Float64Array): ImpliedUnit {
  const sorted = sortedSample(values);
  const [coldest, hottest] = [quantile(sorted, 0.01), quantile(sorted, 0.99)];
  const fitting = TEMPERATURES.filter((band) => within(coldest, band.coldest) && within(hottest, band.hottest));
  return {
    plausible: fitting.map(({ unit }) => unitOf(unit)),
    seen: `98 % of them are from ${rounded(coldest)} to ${rounded(hottest)}`,
  };
}

function impliedTimeUnit(values: Float64Array, origin: number): ImpliedUnit {
  const steps = values.subarray(1).map((value, i) => value - (values[i] as number));
  const step = quantile(sortedSample(steps.filter((value) => value > 0)), 0.5);
  const span = (values[values.length - 1] ?? Number.NaN) - (values[0] ?? Number.NaN);
  const first = origin + (values[0] ?? Number.NaN);
  const plausible = ["s", "ms", "us", "min", "h", "d"].map(unitOf).filter(({ symbol, factor }) => {
    const isInstant = factor < 1 || (factor === 1 && within(first, EPOCH_S));
    const isOfDays = symbol === "d" ? first < 1 || within(first, SERIAL_D) : !(symbol === "h" && first > SERIAL_D.from);
    return (
      within(span * factor, SPAN_S) && within(step * factor, STEP_S) && isOfDays && (first < EPOCH_FROM || isInstant)
    );
  });
  return { plausible, seen: `they span ${rounded(span)} in steps of ${rounded(step)}` };
}

const within = (value: number, { from, to }: { from: number; to: number }): boolean =>
  value >= from * (1 - 1e-9) && value <= to * (1 + 1e-9);

const unitOf = (symbol: string): Unit => parseUnit(symbol) as Unit;

const rounded = (value: number): string => String(Number(value.toPrecision(4)));

function sortedSample(values: Float64Array): Float64Array {
  const stride = Math.max(1, Math.floor(values.length / MAX_JUDGED));
  return values.filter((value, i) => i % stride === 0 && !Number.isNaN(value)).sort();
}

const quantile = (sorted: Float64Array, share: number): number =>
  sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))] ?? Number.NaN;
