import type { Channel, ColumnMap } from "../model.js";
import type { ColumnProposal } from "../table/log-error.js";
import { isTime } from "../table/time-text.js";
import { parseUnit, UNIT_SYMBOLS, type Unit } from "../units/units.js";
import { type Column, couldBe, DIMENSION_OF, hasWord, isForeign } from "./column.js";

type Wish = NonNullable<ColumnMap[keyof ColumnMap]>;

interface SettledColumn {
  readonly channel: Channel;
  readonly index: number;
  readonly unit: Unit | null;
}

const MAX_CANDIDATES = 24;
/** Longest header that a map may name. */
const LONGEST_NAME = 1000;

/**
 * The maps that settle an open channel: what is settled already, and with each choice for the open one. A column whose
 * header stands twice cannot be named, and is left out; so are cells and several temperature probes, which a map would
 * narrow to one.
 */
export function proposalFor(
  channel: Channel,
  columns: readonly Column[],
  settled: readonly SettledColumn[],
): ColumnProposal {
  const nameable = columns.filter(
    ({ header }) =>
      header !== "" &&
      header.length <= LONGEST_NAME &&
      !header.includes("\0") &&
      columns.filter((other) => other.header === header).length === 1,
  );
  const single = settled.filter((one) => settled.filter((other) => other.channel === one.channel).length === 1);
  const map: ColumnMap = Object.fromEntries(
    single.flatMap(({ channel: known, index, unit }) => {
      const column = nameable.find((candidate) => candidate.index === index);
      return column && known !== "cell" && known !== channel ? [[known, wishFor(column, unit)]] : [];
    }),
  );
  const free = nameable.filter((column) => !settled.some(({ index }) => index === column.index));
  const candidates = likely(free, channel)
    .flatMap((column) => choicesOf(column, channel))
    .slice(0, MAX_CANDIDATES)
    .map((wish) => ({ channel, columns: { ...map, [channel]: wish } }));
  return { columns: map, candidates };
}

function wishFor({ header, unit: stated }: Column, unit: Unit | null): Wish {
  return unit === null || unit.symbol === stated?.symbol ? header : { name: header, unit: unit.symbol };
}

/** Those that the header says it of; else those of such a unit; else those of no known unit. */
function likely(free: readonly Column[], channel: Channel): readonly Column[] {
  const fitting = free.filter((column) => !isForeign(column) && couldBe(column, channel));
  const named = fitting.filter((column) => hasWord(column, channel));
  if (named.length > 0) return named;
  if (fitting.length > 0) return fitting;
  return free.filter(
    ({ unit, firstCell }) => /\d/.test(firstCell) && (unit === null || unit.dimension === DIMENSION_OF[channel]),
  );
}

function choicesOf(column: Column, channel: Channel): Wish[] {
  const saysItself =
    column.unit?.dimension === DIMENSION_OF[channel] || (channel === "time" && isTime(column.firstCell));
  if (saysItself) return [column.header];
  const units = UNIT_SYMBOLS.filter((symbol) => parseUnit(symbol)?.dimension === DIMENSION_OF[channel]);
  return units.map((unit) => ({ name: column.header, unit }));
}
