import type { Channel, ColumnMap, ColumnReading, ColumnWish } from "../../../core/model.js";
import { isDate } from "../../../core/table/cells/time-text.js";
import type { LogColumns } from "../log/messages.js";

export type MappedChannel = keyof ColumnMap;
export type Sign = NonNullable<ColumnWish["sign"]>;

/** One thing that a person changed of how a log is read; null takes back what was said. Columns are counted from 0. */
export type ColumnEdit =
  | { readonly kind: "channel"; readonly at: number; readonly channel: MappedChannel | null }
  | { readonly kind: "unit"; readonly at: number; readonly unit: string | null }
  | { readonly kind: "factor"; readonly at: number; readonly factor: number | null }
  | { readonly kind: "sign"; readonly sign: Sign | null }
  | { readonly kind: "interval"; readonly seconds: number | null };

type Wishes = Partial<Record<MappedChannel, ColumnMap[MappedChannel]>>;

/** The map with what was changed. Whatever was not changed is left to the map or, where it says nothing, to the headers. */
export function editMap(columns: LogColumns, edit: ColumnEdit): ColumnMap {
  const next: Wishes = { ...columns.map };
  if (edit.kind === "channel") moveChannel(columns, edit.at, edit.channel, next);
  else if (edit.kind === "interval") {
    if (edit.seconds === null) delete next.time;
    else next.time = { interval: edit.seconds };
  } else if (edit.kind === "sign") {
    const at = columnsOf(columns, "current")[0];
    if (at !== undefined) next.current = without({ ...wishAt(columns, "current", at), sign: edit.sign });
  } else {
    const channel = channelAt(columns, edit.at);
    if (channel === null || channel === "cell") return columns.map;
    const before = wishAt(columns, channel, edit.at);
    next[channel] = without(
      edit.kind === "unit"
        ? { ...before, unit: edit.unit, factor: edit.unit === null ? null : factorAt(columns, edit.at) }
        : { ...before, unit: before.unit ?? columns.readings[edit.at]?.unit ?? null, factor: edit.factor },
    );
  }
  return next as ColumnMap;
}

/** The channel as which a column is read; where the log cannot be read, the one that the map has it for. */
export function channelAt({ headers, readings, map }: LogColumns, at: number): Channel | null {
  if (readings.length > 0) return readings[at]?.channel ?? null;
  const named = Object.entries(map).find(([, wish]) => refersTo(wish, at, headers));
  return named ? (named[0] as Channel) : null;
}

/** Columns that are read as a channel, those of dates beside a time of day left out. */
export function columnsOf(columns: LogColumns, channel: Channel): readonly number[] {
  const all = columns.headers.flatMap((_, at) => (channelAt(columns, at) === channel ? [at] : []));
  return all.filter((at) => !isDatePart(columns, at));
}

/** Whether a column is the date of the time of day in another one. */
export function isDatePart({ readings, firstCells }: Pick<LogColumns, "readings" | "firstCells">, at: number): boolean {
  const isTime = (one: ColumnReading | undefined) => one?.channel === "time";
  return isTime(readings[at]) && readings.filter(isTime).length > 1 && isDate(firstCells[at] ?? "");
}

/** What the numbers of a column are multiplied by to be in its unit; null where nothing says so. */
export function factorAt(columns: LogColumns, at: number): number | null {
  const channel = channelAt(columns, at);
  const wish = channel === null || channel === "cell" ? {} : wishAt(columns, channel, at);
  const scale = wish.unit === undefined ? columns.scales[at] : null;
  return wish.factor ?? (scale ? 1 / scale : null);
}

/** Which numbers of the current the map says are a discharge. */
export function signOf({ map }: LogColumns): Sign | null {
  const wish = map.current;
  return typeof wish === "object" ? (wish?.sign ?? null) : null;
}

/** What the map says of a column, named by number where it says nothing: no header can mistake a number. */
function wishAt({ map, headers }: LogColumns, channel: MappedChannel, at: number): ColumnWish {
  const wish = map[channel];
  if (!refersTo(wish, at, headers)) return { column: at + 1 };
  return typeof wish === "string" ? { name: wish } : (wish as ColumnWish);
}

function refersTo(wish: ColumnMap[MappedChannel], at: number, headers: readonly string[]): boolean {
  if (wish === null || wish === undefined || (typeof wish === "object" && "interval" in wish)) return false;
  const { name, column } = typeof wish === "string" ? { name: wish, column: undefined } : (wish as ColumnWish);
  return column === undefined ? headers[at]?.trim() === name?.trim() : column === at + 1;
}

/** A column becomes another channel, or none; the column that the channel had before, and the channel that the column was, are given up. */
function moveChannel(columns: LogColumns, at: number, channel: MappedChannel | null, next: Wishes): void {
  const before = channelAt(columns, at);
  if (before === channel) return;
  if (before !== null && before !== "cell") {
    const [other] = columnsOf(columns, before).filter((one) => one !== at);
    next[before] = other === undefined ? null : { column: other + 1 };
  }
  if (channel === null) return;
  const sign = channel === "current" ? signOf(columns) : null;
  next[channel] = without({ column: at + 1, sign });
}

/** A wish without what it leaves open. */
const without = (wish: { readonly [K in keyof ColumnWish]: ColumnWish[K] | null }): ColumnWish =>
  Object.fromEntries(Object.entries(wish).filter(([, value]) => value !== null && value !== undefined));
