import type { Channel } from "../model.js";
import { isTime, parseDate } from "../table/time-text.js";
import type { Dimension } from "../units/units.js";
import type { HeaderParts } from "./header.js";
import { WORDS_OF_CHANNEL, WORDS_OF_OTHERS, WORDS_OF_PACK, WORDS_OF_PROBES, WORDS_OF_QUALIFIERS } from "./words.js";

/** A column of the log as its header and its first cell show it. */
export interface Column extends HeaderParts {
  readonly index: number;
  readonly header: string;
  readonly firstCell: string;
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

export const hasWord = (column: Column, channel: Channel): boolean =>
  column.words.some((word) => WORDS_OF_CHANNEL.get(channel)?.has(word));

export const isForeign = (column: Column): boolean => column.words.some((word) => WORDS_OF_OTHERS.has(word));

/** A minimum, maximum or mean, not the readings themselves. */
export const isQualified = (column: Column): boolean => column.words.some((word) => WORDS_OF_QUALIFIERS.has(word));

/** A bare C, F or K is also a C-rate, a factor or a constant: it needs a word beside it. */
export function namesTemperature(column: Column): boolean {
  if (!column.unitIsBareLetter || hasWord(column, "temperature")) return true;
  return column.words.some((word) => WORDS_OF_PROBES.has(word) || WORDS_OF_PACK.has(word));
}

/** A column without a unit is a candidate only when its header names the channel. */
export function couldBe(column: Column, channel: Channel): boolean {
  if (parseDate(column.firstCell) !== null) return false;
  if (column.unit) return column.unit.dimension === DIMENSION_OF[channel];
  if (column.unknownUnit !== null && !(channel === "time" && isTime(column.firstCell))) return false;
  if (channel === "time" && isTime(column.firstCell)) return true;
  return hasWord(column, channel) && NEEDED.includes(channel);
}
