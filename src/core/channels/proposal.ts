import type { Channel, ColumnMap, ColumnWish } from "../model.js";
import { isTime } from "../table/cells/time-text.js";
import type { ColumnProposal } from "../table/log-error.js";
import { parseUnit, type Unit, USUAL_UNITS } from "../units/units.js";
import { type Column, DIMENSION_OF, type Fit, fitOf, names } from "./column.js";

type Wish = string | ColumnWish;

interface SettledColumn {
  readonly channel: Channel;
  readonly index: number;
  readonly unit: Unit | null;
  readonly sign?: 1 | -1 | null;
}

interface Settled {
  readonly columns: readonly SettledColumn[];
  readonly log: readonly Column[];
}

const MAX_CANDIDATES = 24;
/** Longest header that a map may name. */
const MAX_NAME_LENGTH = 1000;

/**
 * The maps that settle an open channel: what is settled already, and with each choice for the open one. A column whose header
 * is empty or stands twice is named by its number. Cells and several temperature probes are left out, which a map would
 * narrow to one.
 */
export function proposalFor(
  channel: Channel,
  columns: readonly Column[],
  settled: readonly SettledColumn[],
  kept: ColumnMap = {},
): ColumnProposal {
  const single = settled.filter((one) => settled.filter((other) => other.channel === one.channel).length === 1);
  const known: ColumnMap = Object.fromEntries(
    single.flatMap(({ channel: of, index, unit, sign }) => {
      const column = columns[index];
      return column && of !== "cell" && of !== channel ? [[of, settledWish(column, columns, unit, sign)]] : [];
    }),
  );
  const map = { ...keptOf(kept, channel), ...known };
  const free = columns.filter((column) => !settled.some(({ index }) => index === column.index));
  const candidates = likely(free, channel)
    .flatMap((column) => choicesOf(column, columns, channel))
    .slice(0, MAX_CANDIDATES)
    .map((wish) => ({ channel, columns: { ...map, [channel]: wish } as ColumnMap }));
  const derived = channel === "current" && candidates.length === 0 ? powersOf(free, columns) : [];
  const without = channel === "temperature" ? [{ channel, columns: { ...map, temperature: null } }] : [];
  return {
    columns: map,
    candidates: [
      ...candidates,
      ...derived.map((power) => ({ channel: "power" as const, columns: { ...map, power } })),
      ...without,
    ],
  };
}

/** The maps that settle how the times of a column are meant: one for each unit. */
export function timeProposal({ columns, log }: Settled, index: number, units: readonly string[]): ColumnProposal {
  const known = Object.fromEntries(
    columns.flatMap((column) => {
      const named = log[column.index];
      const isAlone = columns.filter(({ channel }) => channel === column.channel).length === 1;
      return named && isAlone && column.channel !== "time" && column.channel !== "cell"
        ? [[column.channel, settledWish(named, log, column.unit, column.sign)]]
        : [];
    }),
  );
  const column = log[index] as Column;
  const candidates = units.map((unit) => ({
    channel: "time" as const,
    columns: { ...known, time: { ...nameIn(log, column), unit } },
  }));
  return { columns: known, candidates };
}

/** What a map says that no column stands for: a row interval, or that there is none. */
function keptOf(map: ColumnMap, open: Channel): ColumnMap {
  return Object.fromEntries(
    Object.entries(map).filter(
      ([channel, wish]) => channel !== open && (wish === null || (typeof wish === "object" && "interval" in wish)),
    ),
  );
}

/** How a map names the column: by its header where that is its own, else by its number. */
export function nameIn(columns: readonly Column[], { header, index }: Column): ColumnWish {
  const isOwn = columns.filter((other) => other.header === header).length === 1;
  const isNameable = header.trim() !== "" && header.length <= MAX_NAME_LENGTH && !header.includes("\0");
  return isOwn && isNameable ? { name: header } : { column: index + 1 };
}

const shortest = (wish: ColumnWish): Wish =>
  wish.name !== undefined && Object.keys(wish).length === 1 ? wish.name : wish;

function settledWish(column: Column, columns: readonly Column[], unit: Unit | null, sign?: 1 | -1 | null): Wish {
  const name = nameIn(columns, column);
  const stated = unit === null || sameUnit(unit, column.unit) ? {} : unitWish(unit);
  return shortest({
    ...name,
    ...stated,
    ...(sign ? { sign: sign === 1 ? ("discharge-positive" as const) : ("discharge-negative" as const) } : {}),
  });
}

const sameUnit = (a: Unit, b: Unit | null): boolean => a.symbol === b?.symbol && a.factor === b.factor;

/** A unit with the factor that its symbol does not say. */
function unitWish({ symbol, factor }: Unit): ColumnWish {
  const scale = factor / (parseUnit(symbol)?.factor ?? factor);
  return scale === 1 ? { unit: symbol } : { unit: symbol, factor: scale };
}

/** The columns of a power that the current could be derived from. */
const powersOf = (free: readonly Column[], columns: readonly Column[]): readonly Wish[] =>
  free.filter(({ unit }) => unit?.dimension === "power").map((column) => shortest(nameIn(columns, column)));

/** Those that the header says it of; else those it may say it of; else those of no known unit. */
function likely(free: readonly Column[], channel: Channel): readonly Column[] {
  const withFit = (...fits: Fit[]) => free.filter((column) => fits.includes(fitOf(column, channel)));
  const taken = withFit("taken");
  const named = taken.filter((column) => names(column, channel));
  for (const group of [named, taken, withFit("unknown"), withFit("contradicted")]) if (group.length > 0) return group;
  const others = free.filter((column) => fitOf(column, channel) === "other");
  const unsaid = free.filter(
    ({ unit, firstCell, quantities, unknownUnit }) =>
      /\d/.test(firstCell) && unit === null && (quantities.length === 0 || unknownUnit !== null),
  );
  return [...unsaid, ...others];
}

function choicesOf(column: Column, columns: readonly Column[], channel: Channel): Wish[] {
  const name = nameIn(columns, column);
  const isWritten = channel === "time" && isTime(column.firstCell);
  const isOfUnit = column.unit?.dimension === DIMENSION_OF[channel] && !column.unitsDisagree;
  if (isWritten || isOfUnit) return [shortest(name)];
  return USUAL_UNITS[DIMENSION_OF[channel]].map((unit) => ({ ...name, unit }));
}
