export type Dimension = "time" | "voltage" | "current" | "temperature" | "power" | "charge" | "energy";

/** A unit that a log's numbers may stand in: `value * factor + shift` is the number in the base unit. */
export interface Unit {
  readonly symbol: string;
  readonly dimension: Dimension;
  readonly factor: number;
  readonly shift: number;
}

/** The units that traces and figures are computed in. Charge in Ah and energy in Wh, as the trade counts them. */
export const BASE_UNITS: Readonly<Record<Dimension, string>> = {
  time: "s",
  voltage: "V",
  current: "A",
  temperature: "degC",
  power: "W",
  charge: "Ah",
  energy: "Wh",
};

const FAHRENHEIT_FACTOR = 5 / 9;

const UNITS: readonly (readonly [symbol: string, Dimension, factor: number, shift: number, spellings: string])[] = [
  ["s", "time", 1, 0, "s sec secs second seconds sek sekunden secondes segundos secondi seconden sekundy"],
  ["ms", "time", 1e-3, 0, "ms msec msecs millisecond milliseconds"],
  ["us", "time", 1e-6, 0, "us usec µs μs microsecond microseconds"],
  ["min", "time", 60, 0, "min mins minute minutes minuten"],
  ["h", "time", 3600, 0, "h hr hrs hour hours"],
  ["V", "voltage", 1, 0, "v volt volts"],
  ["mV", "voltage", 1e-3, 0, "mv millivolt millivolts"],
  ["A", "current", 1, 0, "a amp amps ampere amperes"],
  ["mA", "current", 1e-3, 0, "ma milliamp milliamps milliampere"],
  ["W", "power", 1, 0, "w watt watts"],
  ["kW", "power", 1e3, 0, "kw kilowatt kilowatts"],
  ["mAh", "charge", 1e-3, 0, "mah milliamp-hours"],
  ["Ah", "charge", 1, 0, "ah amp-hours"],
  ["Wh", "energy", 1, 0, "wh watt-hours"],
  ["mWh", "energy", 1e-3, 0, "mwh"],
  ["degC", "temperature", 1, 0, "degc °c ℃ celsius c"],
  ["degF", "temperature", FAHRENHEIT_FACTOR, -32 * FAHRENHEIT_FACTOR, "degf °f ℉ fahrenheit f"],
  ["K", "temperature", 1, -273.15, "k kelvin"],
];

/** How clock readings are written; a reading of two parts counts minutes or hours. The factor turns it from its smaller part into s. */
const CLOCKS: typeof UNITS = [
  ["h:m:s", "time", 1, 0, "h:m:s h:mm:ss hh:mm:ss hh:mm:ss.f hh:mm:ss.ff hh:mm:ss.fff hh:mm:ss.sss hh:mm:ss,fff"],
  ["m:s", "time", 1, 0, "m:s m:ss mm:ss mm:ss.f mm:ss.ff mm:ss.fff min:s min:sec"],
  ["h:m", "time", 60, 0, "h:m h:mm hh:mm h:min"],
];

const BY_SPELLING: ReadonlyMap<string, Unit> = new Map(
  [...UNITS, ...CLOCKS].flatMap(([symbol, dimension, factor, shift, spellings]) =>
    spellings.split(" ").map((spelling): [string, Unit] => [spelling, { symbol, dimension, factor, shift }]),
  ),
);

/** Symbols of the units of numbers, which a column map may name; those of clock readings besides. */
export const UNIT_SYMBOLS: readonly string[] = UNITS.map(([symbol]) => symbol);

export const isClockUnit = ({ symbol }: Unit): boolean => symbol.includes(":");

/** The unit that a text spells, in any case, or null. */
export function parseUnit(text: string): Unit | null {
  return BY_SPELLING.get(text.trim().toLowerCase()) ?? null;
}

/** `values` in the base unit of the unit's dimension; the same array when nothing changes. */
export function toBaseUnit(values: Float64Array, unit: Unit): Float64Array {
  if (unit.factor === 1 && unit.shift === 0) return values;
  // A division by an exact power of ten keeps decimal readings exact where a product would not (3.3 V from 3300 mV).
  const divisor = unit.factor < 1 && unit.shift === 0 ? Math.round(1 / unit.factor) : 0;
  return divisor > 0 ? values.map((value) => value / divisor) : values.map((value) => value * unit.factor + unit.shift);
}
