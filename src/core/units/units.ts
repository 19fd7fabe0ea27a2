export type Dimension = "time" | "voltage" | "current" | "temperature" | "power" | "charge" | "energy";

/** A unit that a log's numbers may stand in: `value * factor + shift` is the number in the base unit. */
export interface Unit {
  readonly symbol: string;
  readonly dimension: Dimension;
  readonly factor: number;
  readonly shift: number;
  /** The header multiplies the unit ("V x100"), by which it most often means that its numbers are so many times too large. */
  readonly multiplied?: number;
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

type UnitRow = readonly [symbol: string, Dimension, factor: number, shift: number, spellings: string];

const UNITS: readonly UnitRow[] = [
  [
    "s",
    "time",
    1,
    0,
    "s sec secs second seconds sek sekunden sekunde secondes seconde segundos segundo secondi secondo seconden sekundy sekund sekunder sekuntia sekunti saniye sn с сек секунда секунды секунд 秒 초",
  ],
  [
    "ms",
    "time",
    1e-3,
    0,
    "ms msec msecs millis millisecond milliseconds millisekunden millisekunde millisecondes milisegundos millisecondi milliseconden мс мсек миллисекунды 毫秒 ミリ秒 밀리초",
  ],
  ["us", "time", 1e-6, 0, "us usec micros µs μs microsecond microseconds mikrosekunden мкс 微秒"],
  ["ns", "time", 1e-9, 0, "ns nsec nanos nanosecond nanoseconds нс 纳秒"],
  [
    "min",
    "time",
    60,
    0,
    "min mins minute minutes minuten minutos minuti minuty minut minuter мин минуты 分 分钟 分鐘 분",
  ],
  [
    "h",
    "time",
    3600,
    0,
    "h hr hrs hour hours stunden stunde std heures heure horas ore uren godziny ч час часы 小时 小時 시간",
  ],
  ["d", "time", 86_400, 0, "d day days tage jours dias giorni dagen dni дни 天"],
  ["V", "voltage", 1, 0, "v volt volts volty voltios voltio volti вольт вольты в 伏 伏特 ボルト 볼트"],
  ["dV", "voltage", 0.1, 0, "dv decivolt decivolts"],
  ["cV", "voltage", 0.01, 0, "cv centivolt centivolts"],
  ["mV", "voltage", 1e-3, 0, "mv millivolt millivolts milivoltios мв милливольт 毫伏 ミリボルト 밀리볼트"],
  ["uV", "voltage", 1e-6, 0, "uv µv μv microvolt microvolts мкв 微伏"],
  ["kV", "voltage", 1e3, 0, "kv kilovolt kilovolts кв"],
  [
    "A",
    "current",
    1,
    0,
    "a amp amps ampere amperes amper ampery ampères amperios amperio а ампер амперы 安 安培 アンペア 암페어",
  ],
  ["dA", "current", 0.1, 0, "da deciamp deciamps deciampere"],
  ["cA", "current", 0.01, 0, "ca centiamp centiamps centiampere"],
  [
    "mA",
    "current",
    1e-3,
    0,
    "ma milliamp milliamps milliampere milliamperes miliamperios ма миллиампер 毫安 ミリアンペア 밀리암페어",
  ],
  ["uA", "current", 1e-6, 0, "ua µa μa microamp microamps мка 微安"],
  ["kA", "current", 1e3, 0, "ka kiloamp kiloamps kiloampere ка 千安"],
  ["W", "power", 1, 0, "w watt watts вт ватт 瓦 瓦特 ワット 와트"],
  ["mW", "power", 1e-3, 0, "mw milliwatt milliwatts мвт 毫瓦"],
  ["kW", "power", 1e3, 0, "kw kilowatt kilowatts квт 千瓦"],
  ["mAh", "charge", 1e-3, 0, "mah milliamp-hours milliampere-hours мач ма·ч ма*ч mа·h ma·h ma*h 毫安时 毫安時"],
  ["Ah", "charge", 1, 0, "ah amp-hours ampere-hours ач а·ч а*ч a·h a*h 安时 安時"],
  ["As", "charge", 1 / 3600, 0, "as a·s a*s coulomb coulombs"],
  ["Wh", "energy", 1, 0, "wh watt-hours вт·ч втч вт*ч w·h w*h 瓦时 瓦時"],
  ["mWh", "energy", 1e-3, 0, "mwh"],
  ["kWh", "energy", 1e3, 0, "kwh квт·ч"],
  ["J", "energy", 1 / 3600, 0, "j joule joules"],
  ["kJ", "energy", 1 / 3.6, 0, "kj kilojoule kilojoules"],
  ["degC", "temperature", 1, 0, "degc °c ºc ℃ ° celsius c deg_c degrees_c °с ºс с° c° 摄氏度 攝氏度 度"],
  ["degF", "temperature", FAHRENHEIT_FACTOR, -32 * FAHRENHEIT_FACTOR, "degf °f ºf ℉ fahrenheit f deg_f degrees_f f°"],
  ["K", "temperature", 1, -273.15, "k kelvin kelvins"],
];

/** How clock readings are written; a reading of two parts counts minutes or hours. The factor turns it from its smaller part into s. */
const CLOCKS: readonly UnitRow[] = [
  [
    "h:m:s",
    "time",
    1,
    0,
    "h:m:s h:mm:ss hh:mm:ss hh:mm:ss.f hh:mm:ss.ff hh:mm:ss.fff hh:mm:ss.sss hh:mm:ss,fff hh:mm:ss.000 hh:mm:ss.s hh:mm:ss.ss hh:mm:ss.zzz hms",
  ],
  ["m:s", "time", 1, 0, "m:s m:ss mm:ss mm:ss.f mm:ss.ff mm:ss.fff mm:ss.s mm:ss.0 min:s min:sec"],
  ["h:m", "time", 60, 0, "h:m h:mm hh:mm h:min"],
];

/** In which order the parts of a date stand that could be read in several. */
export const DATE_ORDERS = ["d/m/y", "m/d/y", "y/m/d"] as const;
export type DateOrder = (typeof DATE_ORDERS)[number];

const DATES: readonly UnitRow[] = [
  ["d/m/y", "time", 1, 0, "d/m/y dd/mm/yyyy dd/mm/yy d.m.y dd.mm.yyyy dd-mm-yyyy"],
  ["m/d/y", "time", 1, 0, "m/d/y mm/dd/yyyy mm/dd/yy mm-dd-yyyy"],
  ["y/m/d", "time", 1, 0, "y/m/d yyyy/mm/dd yy/mm/dd yyyy-mm-dd"],
];

const BY_SPELLING: ReadonlyMap<string, Unit> = new Map(
  [...UNITS, ...CLOCKS, ...DATES].flatMap(([symbol, dimension, factor, shift, spellings]) =>
    spellings.split(" ").map((spelling): [string, Unit] => [spelling, { symbol, dimension, factor, shift }]),
  ),
);

/** Symbols of the units of numbers, which a column map may name; those of clock readings and dates besides. */
export const UNIT_SYMBOLS: readonly string[] = UNITS.map(([symbol]) => symbol);

/** The units of numbers of each quantity. */
export const UNITS_OF: Readonly<Record<Dimension, readonly Unit[]>> = Object.groupBy(
  UNITS.map(([symbol, dimension, factor, shift]): Unit => ({ symbol, dimension, factor, shift })),
  ({ dimension }) => dimension,
) as Record<Dimension, Unit[]>;

/** The units that are offered first for a quantity: those that loggers write. */
export const USUAL_UNITS: Readonly<Record<Dimension, readonly string[]>> = {
  time: ["s", "ms", "us", "min", "h"],
  voltage: ["V", "mV"],
  current: ["A", "mA"],
  power: ["W", "kW"],
  charge: ["mAh", "Ah"],
  energy: ["Wh", "mWh"],
  temperature: ["degC", "degF", "K"],
};

/** Times that are written with their own marks, not counted. */
export const isClockUnit = ({ symbol }: Unit): boolean => symbol.includes(":") || symbol.includes("/");

/** The order of a date's parts that a unit states, or null. */
export const dateOrderOf = (unit: Unit | null): DateOrder | null =>
  DATE_ORDERS.find((order) => order === unit?.symbol) ?? null;

const fold = (text: string): string =>
  text
    .trim()
    .toLowerCase()
    .replace(/\.$/, "")
    .replace(/^deg(?:rees)?[ _.]+/, "deg");

/** The unit that a text spells, in any case, or null. */
export function parseUnit(text: string): Unit | null {
  return BY_SPELLING.get(fold(text)) ?? null;
}

const COUNTED = /^[x×*]?\s*(\d*[.,]?\d+)\s*(\D.*)$/;
const MULTIPLIED = /^(.*?[^\d.,\s])\s*[x×*·/]\s*(\d+(?:[.,]\d+)?)$/i;
const TIMES = /^(\d+(?:[.,]\d+)?)\s*[x×*·]\s*(\D.*)$/i;

/**
 * The unit that a text spells with a scale beside it, or null: a reading of 1680 "[10 mV]" is 16.8 V; "V x100" says that the
 * numbers are 100 times those in V (common practice, no published source).
 */
export function parseScaledUnit(text: string): Unit | null {
  const plain = parseUnit(text);
  if (plain) return plain;
  const [, count = "", counted = ""] = COUNTED.exec(text.trim()) ?? [];
  const unit = counted === "" ? null : parseUnit(counted);
  if (unit) return scaledUnit(unit, Number(count.replace(",", ".")));
  const [, timesBefore, nameBehind] = TIMES.exec(text.trim()) ?? [];
  const [, nameBefore, timesBehind] = MULTIPLIED.exec(text.trim()) ?? [];
  const [name = "", times = ""] = [nameBehind ?? nameBefore, timesBefore ?? timesBehind];
  const multiplied = name === "" ? null : parseUnit(name);
  const number = Number(times.replace(",", "."));
  return multiplied && number > 0 ? { ...scaledUnit(multiplied, 1 / number), multiplied: number } : null;
}

/** A unit of which `scale` make one of the numbers. */
export function scaledUnit(unit: Unit, scale: number): Unit {
  return scale === 1 || !(scale > 0) ? unit : { ...unit, factor: unit.factor * scale };
}

/** How numbers of a unit become numbers of the base unit. */
export type Conversion = { readonly divisor: number } | { readonly factor: number; readonly shift: number };

export function conversionOf({ factor, shift }: Unit): Conversion {
  const divisor = shift === 0 ? wholeDivisor(factor) : null;
  return divisor === null ? { factor, shift } : { divisor };
}

export const converted = (value: number, by: Conversion): number =>
  "divisor" in by ? value / by.divisor : value * by.factor + by.shift;

/** What a number was before it was converted, but for rounding. */
export const unconverted = (value: number, by: Conversion): number =>
  "divisor" in by ? value * by.divisor : (value - by.shift) / by.factor;

/** `values` in the base unit of the unit's dimension; the same array when nothing changes. */
export function toBaseUnit(values: Float64Array, unit: Unit): Float64Array {
  if (unit.factor === 1 && unit.shift === 0) return values;
  const by = conversionOf(unit);
  return "divisor" in by ? values.map((value) => value / by.divisor) : values.map((value) => converted(value, by));
}

/** A division by an exact integer keeps decimal readings exact where a product would not (3.3 V from 3300 mV). */
function wholeDivisor(factor: number): number | null {
  if (factor > 1) return null;
  const divisor = Math.round(1 / factor);
  return Math.abs(divisor * factor - 1) < 1e-12 ? divisor : null;
}
