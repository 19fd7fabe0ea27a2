import { gzipSync } from "node:zlib";

/** One sample in whole numbers, so that what is written of it is exact: ms, mV, 10 mA, 0.1 degC. */
export interface WholeSample {
  readonly ms: number;
  readonly mV: number;
  readonly cA: number;
  readonly dC: number;
}

export const LANGUAGES = {
  English: ["Time", "Voltage", "Current", "Temperature"],
  German: ["Zeit", "Spannung", "Strom", "Temperatur"],
  French: ["Durée", "Tension", "Intensité", "Température"],
  Spanish: ["Tiempo", "Tensión", "Corriente", "Temperatura"],
  Italian: ["Tempo", "Tensione", "Corrente", "Temperatura"],
  Dutch: ["Tijd", "Spanning", "Stroom", "Temperatuur"],
  Polish: ["Czas", "Napięcie", "Prąd", "Temperatura"],
} as const;

export const TIME_FORMS = [
  "s",
  "ms",
  "us",
  "min",
  "h:m:s",
  "m:s",
  "iso",
  "isoZ",
  "isoBlank",
  "epoch s",
  "epoch ms",
  "epoch us",
  "date and time",
] as const;
export const UNIT_STYLES = ["brackets", "parentheses", "slash", "underscore", "units row", "none"] as const;
export const ENCODINGS = ["utf-8", "utf-8 with mark", "utf-16le", "utf-16be", "latin-1"] as const;
export const DELIMITERS = [",", ";", "\t", "|", "   "] as const;
export const LINE_ENDS = ["\n", "\r\n", "\r"] as const;

/** One honest shape in which a log may be written. */
export interface Shape {
  readonly delimiter: (typeof DELIMITERS)[number];
  readonly decimalMark: "." | ",";
  readonly lineEnd: (typeof LINE_ENDS)[number];
  readonly encoding: (typeof ENCODINGS)[number];
  readonly language: keyof typeof LANGUAGES;
  readonly unitStyle: (typeof UNIT_STYLES)[number];
  readonly timeForm: (typeof TIME_FORMS)[number];
  readonly voltageUnit: "V" | "mV";
  readonly currentUnit: "A" | "mA";
  readonly temperatureUnit: "degC" | "degF" | "K";
  readonly preamble: readonly string[];
  readonly quoted: "all" | "headers" | "where needed";
  /** Order of the columns: time, voltage, current, temperature, and those that are not asked for. */
  readonly order: readonly number[];
  readonly extraColumns: boolean;
  readonly negative: boolean;
  readonly lastLineEnds: boolean;
  readonly gzip: boolean;
}

interface WrittenColumn {
  readonly name: string;
  readonly unit: string | null;
  readonly cell: (sample: WholeSample, index: number) => string;
}

/** The samples in the shape, byte by byte as a logger would write them. */
export function writeLog(samples: readonly WholeSample[], shape: Shape): Uint8Array {
  const columns = columnsOf(shape);
  const needsQuotes = (text: string) => text.includes(shape.delimiter) || /["\r\n]/.test(text);
  const field = (text: string, always: boolean) =>
    shape.delimiter !== "   " && (always || needsQuotes(text)) ? `"${text.replaceAll('"', '""')}"` : text;
  const row = (cells: readonly string[], always: boolean) =>
    cells.map((cell) => field(cell, always)).join(shape.delimiter);
  const named = shape.quoted !== "where needed";
  const lines = [
    ...shape.preamble,
    row(
      columns.map(({ name, unit }) => headerOf(name, unit, shape.unitStyle)),
      named,
    ),
    ...(shape.unitStyle === "units row"
      ? [
          row(
            columns.map(({ unit }) => unit ?? "-"),
            named,
          ),
        ]
      : []),
    ...samples.map((sample, i) =>
      row(
        columns.map(({ cell }) => cell(sample, i)),
        shape.quoted === "all",
      ),
    ),
  ];
  const text = lines.join(shape.lineEnd) + (shape.lastLineEnds ? shape.lineEnd : "");
  const bytes = encoded(text, shape.encoding);
  return shape.gzip ? gzipSync(bytes) : bytes;
}

function headerOf(name: string, unit: string | null, style: Shape["unitStyle"]): string {
  if (unit === null || style === "units row" || style === "none") return name;
  if (style === "brackets") return `${name} [${unit}]`;
  if (style === "parentheses") return `${name} (${unit})`;
  return style === "slash" ? `${name}/${unit}` : `${name}_${unit}`;
}

function columnsOf(shape: Shape): readonly WrittenColumn[] {
  const [time, voltage, current, temperature] = LANGUAGES[shape.language];
  const number = (whole: number, decimals: number) => fixed(whole, decimals).replace(".", shape.decimalMark);
  const sign = shape.negative ? -1 : 1;
  const milliamperes = ({ cA }: WholeSample) => number(sign * cA * 10, 0);
  const needed: WrittenColumn[] = [
    ...timeColumns(shape, time),
    {
      name: voltage,
      unit: shape.voltageUnit,
      cell: ({ mV }) => (shape.voltageUnit === "V" ? number(mV, 3) : number(mV, 0)),
    },
    {
      name: current,
      unit: shape.currentUnit,
      cell: (s) => (shape.currentUnit === "A" ? number(sign * s.cA, 2) : milliamperes(s)),
    },
    { name: temperature, unit: shape.temperatureUnit, cell: ({ dC }) => number(...inUnit(dC, shape.temperatureUnit)) },
  ];
  const extras: WrittenColumn[] = shape.extraColumns
    ? [
        { name: "No.", unit: null, cell: (_, i) => String(i + 1) },
        { name: "Throttle", unit: "%", cell: () => number(1000, 1) },
      ]
    : [];
  const all = [...needed, ...extras];
  return [...all].sort((a, b) => (shape.order[all.indexOf(a)] ?? 0) - (shape.order[all.indexOf(b)] ?? 0));
}

function inUnit(dC: number, unit: Shape["temperatureUnit"]): [whole: number, decimals: number] {
  if (unit === "degC") return [dC, 1];
  return unit === "K" ? [dC * 10 + 27_315, 2] : [dC * 18 + 3200, 2];
}

/** 2026-05-02T09:12:00Z */
export const START_MS = Date.UTC(2026, 4, 2, 9, 12);

function timeColumns({ timeForm, decimalMark }: Shape, name: string): readonly WrittenColumn[] {
  const marked = (text: string) => text.replace(".", decimalMark);
  const iso = (ms: number) => new Date(START_MS + ms).toISOString();
  const one = (unit: string | null, cell: (ms: number) => string): WrittenColumn => ({
    name,
    unit,
    cell: ({ ms }) => cell(ms),
  });
  switch (timeForm) {
    case "s":
      return [one("s", (ms) => marked(fixed(ms, 3)))];
    case "ms":
      return [one("ms", (ms) => String(ms))];
    case "us":
      return [one("us", (ms) => `${ms}000`)];
    case "min":
      return [one("min", (ms) => marked((ms / 60_000).toFixed(9)))];
    case "h:m:s":
      return [one(null, (ms) => marked(iso(ms).slice(11, 23)))];
    case "m:s":
      return [one(null, (ms) => marked(iso(ms - START_MS).slice(14, 23)))];
    case "iso":
      return [one(null, (ms) => marked(iso(ms).slice(0, 23)))];
    case "isoZ":
      return [one(null, (ms) => iso(ms))];
    case "isoBlank":
      return [one(null, (ms) => marked(iso(ms).slice(0, 23).replace("T", " ")))];
    case "epoch s":
      return [one("s", (ms) => marked(fixed(START_MS + ms, 3)))];
    case "epoch ms":
      return [one("ms", (ms) => String(START_MS + ms))];
    case "epoch us":
      return [one("us", (ms) => `${START_MS + ms}000`)];
    case "date and time":
      return [
        { name: "Date", unit: null, cell: ({ ms }) => iso(ms).slice(0, 10) },
        one(null, (ms) => marked(iso(ms).slice(11, 23))),
      ];
  }
}

/** A whole number of the last decimal as a decimal number. */
function fixed(whole: number, decimals: number): string {
  const digits = String(Math.abs(whole)).padStart(decimals + 1, "0");
  const text = decimals === 0 ? digits : `${digits.slice(0, -decimals)}.${digits.slice(-decimals)}`;
  return whole < 0 ? `-${text}` : text;
}

function encoded(text: string, encoding: Shape["encoding"]): Buffer {
  if (encoding === "latin-1") return Buffer.from(text, "latin1");
  if (encoding === "utf-8") return Buffer.from(text);
  if (encoding === "utf-8 with mark") return Buffer.from(`\ufeff${text}`);
  const little = Buffer.from(`\ufeff${text}`, "utf16le");
  return encoding === "utf-16le" ? little : little.swap16();
}
