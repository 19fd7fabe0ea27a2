import fc from "fast-check";
import type { WholeSample } from "./written-log.js";

/** What a column of a strange log holds: a reading of the pack, or numbers that must not be taken for it. */
type Truth = "time" | "voltage" | "current" | "temperature" | "decoy";

/** How a header is meant to be taken: as the pack's own, as something else, or to be asked about. */
interface Named {
  readonly name: string;
  readonly meant: "own" | "other" | "unknown";
}

const own = (...names: readonly string[]): Named[] => names.map((name) => ({ name, meant: "own" }));
const other = (...names: readonly string[]): Named[] => names.map((name) => ({ name, meant: "other" }));
const unknown = (...names: readonly string[]): Named[] => names.map((name) => ({ name, meant: "unknown" }));

const NAMES: Readonly<Record<"time" | "voltage" | "current" | "temperature", readonly Named[]>> = {
  time: own(
    "Time",
    "t",
    "Elapsed time",
    "Zeit",
    "Laufzeit",
    "Durée",
    "Tiempo",
    "Czas",
    "Время",
    "时间",
    "Test time",
    "tid",
  ),
  voltage: [
    ...own(
      "Voltage",
      "U",
      "Pack voltage",
      "Battery Voltage",
      "Akkuspannung",
      "Ubat",
      "Tension batterie",
      "Napięcie",
      "Напряжение АКБ",
      "总电压",
    ),
    ...own("Gesamtspannung", "Voltaje", "batt_voltage", "V pack", "Spänning", "Discharge voltage"),
  ],
  current: [
    ...own(
      "Current",
      "I",
      "Pack current",
      "Discharge current",
      "Entladestrom",
      "Ibat",
      "Courant",
      "Corriente",
      "Prąd",
      "Ток",
      "放电电流",
    ),
    ...own("Load current", "Batteriestrom", "Amps", "Ström", "total current"),
  ],
  temperature: own(
    "Temperature",
    "Temp",
    "Pack temp",
    "Akkutemperatur",
    "Température",
    "Температура",
    "电池温度",
    "T",
    "NTC temp",
  ),
};

const DECOYS: Readonly<Record<"voltage" | "current" | "temperature", readonly Named[]>> = {
  voltage: [
    ...other(
      "Cutoff voltage",
      "Open circuit voltage",
      "Reference voltage",
      "Min voltage",
      "Mean voltage",
      "Voltage per cell",
      "Umax",
    ),
    ...other(
      "Leerlaufspannung",
      "Sollspannung",
      "Motor voltage",
      "Charger voltage",
      "Receiver voltage",
      "Tension moyenne",
      "最低电压",
      "Vset",
    ),
    ...unknown("Zork voltage", "Voltage near", "Rail voltage", "Voltage kwx"),
  ],
  current: [
    ...other(
      "Phase current",
      "Charge current",
      "Balance current",
      "Average current",
      "Max current",
      "Filtered current",
      "Motor current",
    ),
    ...other(
      "Ladestrom",
      "Iset",
      "Current limit",
      "Set current",
      "Ток заряда",
      "充电电流",
      "Peak current",
      "Courant moteur",
      "I avg",
    ),
    ...unknown("Zork current", "Current left", "Current kwx"),
  ],
  temperature: [
    ...other(
      "Room temperature",
      "Air temp",
      "Inlet temperature",
      "Water temp",
      "Shunt temperature",
      "Load temperature",
      "Tamb",
    ),
    ...other(
      "Umgebungstemperatur",
      "Raumtemperatur",
      "Controller temp",
      "FET temp",
      "室温",
      "Motor temperature",
      "Board temp",
      "Max temp",
    ),
  ],
};

interface StrangeColumn {
  readonly name: string;
  readonly truth: Truth;
  readonly unit: string;
  /** Its number of one sample, in its unit, with as many decimals as it is written with. */
  readonly number: (sample: WholeSample) => string;
}

export interface StrangeLog {
  readonly text: string;
  /** The pack's own voltage and current are named by known words alone, so that the log has to be read. */
  readonly mustBeRead: boolean;
  readonly hasTemperature: boolean;
}

const UNITS = {
  time: { s: (one: WholeSample) => (one.ms / 1000).toFixed(3), ms: (one: WholeSample) => String(one.ms) },
  voltage: {
    V: (one: WholeSample) => (one.mV / 1000).toFixed(3),
    mV: (one: WholeSample) => String(one.mV),
    "10mV": (one: WholeSample) => (one.mV / 10).toFixed(1),
  },
  current: { A: (one: WholeSample) => (one.cA / 100).toFixed(2), mA: (one: WholeSample) => String(one.cA * 10) },
  temperature: {
    "°C": (one: WholeSample) => (one.dC / 10).toFixed(1),
    degC: (one: WholeSample) => (one.dC / 10).toFixed(1),
  },
} as const;

type Quantity = keyof typeof UNITS;

function column(quantity: Quantity, named: Named, unit: string, isDecoy: boolean): StrangeColumn {
  const write = UNITS[quantity][unit as never] as (sample: WholeSample) => string;
  return {
    name: named.name,
    truth: isDecoy ? "decoy" : quantity,
    unit,
    // A decoy shows a plausible pack that is another one.
    number: isDecoy
      ? (one) =>
          write({ ms: one.ms, mV: Math.round(one.mV * 0.93), cA: Math.round(one.cA * 0.8) + 100, dC: one.dC - 40 })
      : write,
  };
}

const unitOf = (quantity: Quantity) => fc.constantFrom(...Object.keys(UNITS[quantity]));
const ownColumn = (quantity: Quantity) =>
  fc
    .tuple(fc.constantFrom(...NAMES[quantity]), unitOf(quantity))
    .map(([named, unit]) => column(quantity, named, unit, false));
const decoyColumn = (quantity: "voltage" | "current" | "temperature") =>
  fc
    .tuple(fc.constantFrom(...DECOYS[quantity]), unitOf(quantity))
    .map(([named, unit]) => column(quantity, named, unit, true));

const UNIT_STYLES = ["brackets", "parentheses", "slash", "units row", "cells"] as const;
const MARKS = [
  { delimiter: ",", decimal: "." },
  { delimiter: ";", decimal: "." },
  { delimiter: ";", decimal: "," },
  { delimiter: "\t", decimal: "," },
  { delimiter: "\t", decimal: "." },
  { delimiter: "|", decimal: "." },
] as const;
const PREAMBLES = [
  [],
  ["Bench 4, hall B"],
  ["# logger of the club", "Range;60;200"],
  ["Serial: 12345", "=========="],
] as const;

/** Logs whose headers are drawn from known, telling and unknown words, in any order, units, marks and surroundings. */
export function strangeLogs(samples: readonly WholeSample[]): fc.Arbitrary<StrangeLog> {
  return fc
    .record({
      time: ownColumn("time"),
      voltage: fc.option(ownColumn("voltage"), { freq: 4 }),
      current: fc.option(ownColumn("current"), { freq: 4 }),
      temperature: fc.option(ownColumn("temperature"), { freq: 2 }),
      decoys: fc.array(fc.oneof(decoyColumn("voltage"), decoyColumn("current"), decoyColumn("temperature")), {
        maxLength: 4,
      }),
      order: fc.array(fc.integer({ min: 0, max: 99 }), { minLength: 8, maxLength: 8 }),
      marks: fc.constantFrom(...MARKS),
      style: fc.constantFrom(...UNIT_STYLES),
      preamble: fc.constantFrom(...PREAMBLES),
      upper: fc.boolean(),
      negative: fc.boolean(),
      minus: fc.constantFrom("-", "\u2212"),
    })
    .map(({ time, voltage, current, temperature, decoys, order, marks, style, preamble, upper, negative, minus }) => {
      const all = [time, voltage, current, temperature, ...decoys].filter((one) => one !== null);
      const distinct = all.filter((one, at) => all.findIndex(({ name }) => name === one.name) === at);
      const columns = [...distinct].sort(
        (a, b) => (order[distinct.indexOf(a)] ?? 0) - (order[distinct.indexOf(b)] ?? 0),
      );
      const rank = (text: string) => (upper && !/\p{Ll}\p{Lu}|\b[uit]\b/iu.test(text) ? text.toUpperCase() : text);
      const head = columns.map(({ name, unit }) => headerOf(rank(name), unit, style));
      const cell = (one: StrangeColumn, sample: WholeSample) => {
        const written = one.number(sample).replace(".", marks.decimal);
        const signed = negative && one.unit.endsWith("A") && !/^[0.,]+$/.test(written) ? `${minus}${written}` : written;
        return style === "cells" && one.unit !== "10mV" ? `${signed} ${one.unit}` : signed;
      };
      const lines = [
        ...preamble,
        head.join(marks.delimiter),
        ...(style === "units row" ? [columns.map(({ unit }) => unit).join(marks.delimiter)] : []),
        ...samples.map((sample) => columns.map((one) => cell(one, sample)).join(marks.delimiter)),
      ];
      return {
        text: `${lines.join("\n")}\n`,
        mustBeRead: voltage !== null && current !== null,
        hasTemperature: temperature !== null,
      };
    });
}

function headerOf(name: string, unit: string, style: (typeof UNIT_STYLES)[number]): string {
  if (style === "parentheses") return `${name} (${unit})`;
  if (style === "slash") return `${name}/${unit}`;
  return style === "brackets" || unit === "10mV" ? `${name} [${unit}]` : name;
}
