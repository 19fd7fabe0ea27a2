import type { Channel } from "../model.js";
import { type Dimension, parseScaledUnit, parseUnit, scaledUnit, type Unit } from "../units/units.js";
import { fold, isKnown, partsOf, quantitiesOf } from "./words.js";

/** A column header taken apart. */
export interface HeaderParts {
  /** Folded, without the unit and numbers; a word that is made of known ones stands as those. */
  readonly words: readonly string[];
  /** The channels that its words name. */
  readonly quantities: readonly Channel[];
  /** Its numbers, such as that of a cell. */
  readonly numbers: readonly number[];
  readonly unit: Unit | null;
  /** The unit is spelt by one letter, which may stand for something else. */
  readonly unitIsBareLetter: boolean;
  /** The unit is a letter at the end of the header that nothing marks as a unit. */
  readonly unitIsUnmarked: boolean;
  /** The text in the place of a unit that is no unit known here, such as "bar". */
  readonly unknownUnit: string | null;
  /** Two units that do not agree, such as "V" in the header over "mA" in the units row. */
  readonly unitsDisagree: readonly [string, string] | null;
}

interface Found {
  readonly text: string;
  readonly spelling: string | null;
  readonly unit: Unit | null;
  readonly unknown: string | null;
  readonly unmarked: boolean;
  /** Another unit that the header states. */
  readonly second?: Unit | null;
}

const BRACKETS = /[[({]\s*([^\])}]*?)\s*[\])}]/g;
const TRAILING = /^(.*?)(\s*[/,:]\s*|_|\.|\s+in\s+|\s+)([^\s/,_:]+)$/i;
const SCALE = /((?:(?<=^|[\s_])x|[×*])\s*\d+(?:[.,]\d+)?)\s*$/i;
/** Spellings of units that are words as well: units only where brackets or a units row mark them. */
const WORDS_TOO = new Set([
  "as",
  "da",
  "ca",
  "d",
  "j",
  "sn",
  "ore",
  "std",
  "dias",
  "days",
  "day",
  "min",
  "mins",
  "в",
  "с",
  "а",
]);

/**
 * The words and the unit of a column header: the unit in brackets or parentheses, after a slash, comma, underscore or
 * space, or the header itself when it is nothing but a unit; in a units row; or beside the numbers in the cells.
 */
export function readHeader(header: string, unitsRowCell: string | null, cellUnit: string | null = null): HeaderParts {
  const found = findUnit(header);
  const row = unitsRowCell === null ? null : parseScaledUnit(stripBrackets(unitsRowCell));
  const cell = cellUnit === null ? null : parseUnit(cellUnit);
  const stated = [row, cell, found.unmarked && (row ?? cell) ? null : found.unit, found.second ?? null].filter(
    (unit) => unit !== null,
  );
  const [unit = null] = stated;
  const against = stated.find((other) => disagree(other, unit as Unit));
  const text = unit === found.unit || !found.unmarked || unit === null ? found.text : header;
  const spelling = row ? stripBrackets(unitsRowCell ?? "") : cell ? (cellUnit ?? "") : (found.spelling ?? "");
  const tokens = tokensOf(text);
  const words = tokens.filter((token) => !/^\d+$/.test(token)).flatMap(partsOf);
  return {
    words,
    quantities: quantitiesIn(words, text.trim(), unit?.dimension ?? null),
    numbers: tokens.filter((token) => /^\d+$/.test(token)).map(Number),
    unit,
    unitIsBareLetter: unit !== null && /^\s*\p{L}\s*$/u.test(spelling),
    unitIsUnmarked: unit !== null && unit === found.unit && found.unmarked && /^\p{L}$/u.test(spelling.trim()),
    unknownUnit: unit === null ? found.unknown : null,
    unitsDisagree: against && unit ? [against.symbol, unit.symbol] : null,
  };
}

const disagree = (a: Unit, b: Unit): boolean =>
  a.dimension !== b.dimension || (a.factor !== b.factor && !a.symbol.includes(":") && !b.symbol.includes(":"));

/** "T" is a temperature before it is a time, "t" the other way about; the unit tells, where there is one. */
function quantitiesIn(words: readonly string[], text: string, dimension: Dimension | null): readonly Channel[] {
  const all = [...new Set(words.flatMap(quantitiesOf))];
  const onlyLetter = words.every((word) => word === "t" || quantitiesOf(word).length === 0) && words.includes("t");
  if (!onlyLetter || dimension !== null) return all;
  return /(^|[^\p{L}])T([^\p{L}\s]|$|_|\s*\d)/u.test(text) ? ["temperature"] : ["time"];
}

/** A header cut into its words and its unit. */
function findUnit(written: string): Found {
  const header = written
    .replace(/[\uff08\uff3b]/g, "(")
    .replace(/[\uff09\uff3d]/g, ")")
    .replace(/[\uff0c\uff1a]/g, ",");
  const inBrackets = [...header.matchAll(BRACKETS)].map(([whole, content = ""]) => ({ whole, content }));
  const outside = header.replace(BRACKETS, " ").trim();
  const scale = SCALE.exec(outside)?.[1] ?? null;
  const text = scale === null ? outside : outside.slice(0, outside.lastIndexOf(scale)).trim();
  const [marked, ...more] = inBrackets.flatMap(({ content }) => {
    const unit = parseScaledUnit(content);
    return unit ? [{ content, unit }] : [];
  });
  if (marked) {
    const others = inBrackets
      .filter(({ content }) => content !== marked.content && !parseScaledUnit(content))
      .map((one) => one.content);
    const second = more.find(({ unit }) => disagree(unit, marked.unit))?.unit ?? null;
    const unit = withScale(marked.unit, scale);
    return {
      text: [text, ...others].join(" "),
      spelling: marked.content,
      unit,
      second,
      unknown: null,
      unmarked: false,
    };
  }
  const within = inBrackets.map(({ content }) => content);
  const trailing = trailingUnit(text, scale);
  if (trailing) return { ...trailing, text: [trailing.text, ...within].join(" ") };
  const unknown = within.find((content) => /\p{L}|%/u.test(content) && !isKnownText(content)) ?? null;
  const said = within.filter((content) => content !== unknown);
  return { text: [text, ...said, scale ?? ""].join(" "), spelling: null, unit: null, unknown, unmarked: false };
}

function trailingUnit(text: string, scale: string | null): Found | null {
  const whole = parseScaledUnit(text);
  if (whole) {
    const spelt = /\p{L}{3,}/u.test(text) ? text : "";
    return { text: spelt, spelling: text, unit: withScale(whole, scale), unknown: null, unmarked: spelt !== "" };
  }
  const [, before = "", mark = "", last = ""] = TRAILING.exec(text) ?? [];
  const unit = last === "" ? null : parseScaledUnit(last);
  if (
    unit &&
    !isStatistic(before, last) &&
    !(WORDS_TOO.has(last.toLowerCase()) && !/[,/]/.test(mark) && !isMinutes(before, last))
  ) {
    const unmarked = /^(\p{L}|\p{L}{4,})$/u.test(last) && !/[/,:]/.test(mark);
    return { text: before, spelling: last, unit: withScale(unit, scale), unknown: null, unmarked };
  }
  // A unit of several letters may stand anywhere: "mV pack", "Temp degC probe".
  const tokens = text.split(/[\s_]+/);
  const at = tokens.findIndex((token) => /^(m[AVs]|mAh|m?Wh|[kK]W|°[CF]|deg[CF]|volts?|amps?|ms|sec)$/.test(token));
  if (at < 0) return null;
  const inside = parseUnit(tokens[at] as string);
  if (!inside) return null;
  const isWord = /^(volts?|amps?)$/i.test(tokens[at] as string);
  const others = isWord ? tokens : tokens.toSpliced(at, 1);
  return {
    text: others.join(" "),
    spelling: tokens[at] as string,
    unit: withScale(inside, scale),
    unknown: null,
    unmarked: false,
  };
}

function withScale(unit: Unit, scale: string | null): Unit {
  if (scale === null) return unit;
  const times = Number(scale.slice(1).trim().replace(",", "."));
  return times > 0 ? { ...scaledUnit(unit, 1 / times), multiplied: times } : unit;
}

/** "V min" is a smallest voltage; "t min" is a time in minutes. */
const isStatistic = (before: string, last: string): boolean => /^mins?$/i.test(last) && !namesTime(before);
const isMinutes = (before: string, last: string): boolean => /^(mins?|d|days?)$/i.test(last) && namesTime(before);
const namesTime = (text: string): boolean =>
  tokensOf(text)
    .flatMap(partsOf)
    .some((word) => quantitiesOf(word).includes("time"));

const isKnownText = (text: string): boolean =>
  tokensOf(text)
    .flatMap(partsOf)
    .every((word) => /^\d+$/.test(word) || isKnown(word));

function stripBrackets(text: string): string {
  return text.trim().replace(/^[[({]\s*|\s*[\])}]$/g, "");
}

const SINCE_START =
  /\b(since|from|after|seit|ab|depuis|desde|dal|dalla|od|van|fra|fran)\s+(the\s+)?(test\s+|log\s+|run\s+|load\s+|le\s+|el\s+|o\s+)?(start|begin(ning)?|onset|beginn|anfang|debut|inicio|inizio|startu|poczatku|power|boot)\b/g;

/** The words and numbers of a text, cut at everything that is no letter or digit, and where a small letter meets a capital or a digit. */
function tokensOf(text: string): string[] {
  const spaced = text
    .replace(/\b(m|k)(Ah|Wh|V|A|W)\b/g, (unit) => unit.toLowerCase())
    .replace(/(\p{Ll})(\p{Lu})/gu, "$1 $2");
  return fold(spaced)
    .replace(SINCE_START, "elapsed")
    .replace(/(\p{L})(\d)/gu, "$1 $2")
    .replace(/(\d)(?=[\p{Script=Han}\p{Script=Hangul}\p{Script=Katakana}\p{Script=Cyrillic}])/gu, "$1 ")
    .split(/[^\p{L}\p{N}]+/u)
    .filter((word) => word !== "");
}
