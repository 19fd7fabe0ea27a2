import type { Channel } from "../model.js";
import { isDate, isTime } from "../table/cells/time-text.js";
import type { Dimension } from "../units/units.js";
import type { HeaderParts } from "./header.js";
import { isPackWord, meaningFor } from "./words.js";

/** A column of the log as its header and its first cell show it. */
export interface Column extends HeaderParts {
  readonly index: number;
  readonly header: string;
  readonly firstCell: string;
  /** Its header is a unit and no word, as those of the other columns are. */
  readonly isOneOfUnits: boolean;
}

export const DIMENSION_OF: Readonly<Record<Channel, Dimension>> = {
  time: "time",
  voltage: "voltage",
  current: "current",
  temperature: "temperature",
  power: "power",
  charge: "charge",
  energy: "energy",
  cell: "voltage",
};

/** Channels without which a log is no discharge, in the order in which they are asked for. */
export const NEEDED: readonly Channel[] = ["time", "voltage", "current"];

/**
 * How a column fits a channel.
 *
 * - taken: every word of its header is known, and it is the pack's own reading of that quantity
 * - unknown: it would be, but for words that are not known
 * - other: a word says that it is about something else, or no reading of this instant
 * - contradicted: its words name one quantity and its unit another
 * - none: it is about another quantity
 */
export type Fit = "taken" | "unknown" | "other" | "contradicted" | "none";

export const names = (column: Column, channel: Channel): boolean => column.quantities.includes(channel);

export const isOfPack = (column: Column): boolean => column.words.some(isPackWord);

export function otherWords(column: Column, channel: Channel): readonly string[] {
  const { words } = column;
  // "Charge capacity" is what was charged, beside "discharge capacity".
  if (channel === "charge" && words.includes("charge") && words.some(isCapacity)) return ["charge"];
  return words.filter((word) => meaningFor(word, channel) === "other");
}

const isCapacity = (word: string): boolean => /^(cap|capacity|energy)$/.test(word);

export const unknownWords = (column: Column, channel: Channel): readonly string[] => [
  ...column.words.filter((word) => meaningFor(word, channel) === "unknown"),
  // The number of the only channel of a logger tells nothing apart: `choiceFor` takes such a column.
  ...(channel === "cell" || channel === "temperature" || column.numbers.length === 0 ? [] : column.numbers.map(String)),
];

export function fitOf(column: Column, channel: Channel): Fit {
  const quantity = quantityFit(column, channel);
  if (quantity === "none") return "none";
  if (otherWords(column, channel).length > 0) return "other";
  if (quantity === "contradicted") return "contradicted";
  return column.unitsDisagree ? "contradicted" : unknownWords(column, channel).length > 0 ? "unknown" : "taken";
}

function quantityFit(column: Column, channel: Channel): "fits" | "contradicted" | "none" {
  if (isDate(column.firstCell)) return "none";
  const isNamed = names(column, channel);
  const isOther = column.quantities.length > 0 && !isNamed;
  if (column.unit) {
    const isOfUnit = column.unit.dimension === DIMENSION_OF[channel];
    if (!isOfUnit) return isNamed && !namesUnit(column) ? "contradicted" : "none";
    if (isOther && !(channel === "cell" && names(column, "voltage"))) {
      return column.quantities.includes("cell") ? "fits" : "contradicted";
    }
    return isTemperatureUnsaid(column, channel) ? "none" : "fits";
  }
  if (channel === "time" && isTime(column.firstCell)) return isOther ? "contradicted" : "fits";
  if (column.unknownUnit !== null) return "none";
  return isNamed ? "fits" : "none";
}

/** A quantity of the column is that of its unit. */
const namesUnit = (column: Column): boolean =>
  column.quantities.some((channel) => DIMENSION_OF[channel] === column.unit?.dimension);

/** A bare C, F or K is also a C-rate, a factor or a constant: it needs a word beside it, or other units of one letter. */
function isTemperatureUnsaid(column: Column, channel: Channel): boolean {
  if (channel !== "temperature" || !column.unitIsBareLetter || column.isOneOfUnits) return false;
  return !column.words.some((word) => ["quantity", "own"].includes(meaningFor(word, "temperature")));
}
