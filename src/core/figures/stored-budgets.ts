import { zstdCompressSync, zstdDecompressSync } from "node:zlib";
import type { BudgetPart } from "../model.js";
import { ByteReader, ByteWriter } from "../trace/storage/bytes.js";
import { readPlanes, writePlanes } from "../trace/storage/planes.js";

/** Name of the layout below. A change of it is a new name; old names stay readable. */
export const BUDGETS_ENCODING = "packledger-budgets-1";
const VERSION = 1;

const FLOAT_BYTES = 8;
/** The names and numbers of one evaluation's sources take some kilobytes. */
const MAX_TEXT_BYTES = 1 << 24;

/** Names a figure within its evaluation; its load is 0 under the run's own load. */
interface NamedFigure {
  readonly key: string;
  readonly basis: string;
  readonly load: number;
}

export interface BudgetOfFigure extends NamedFigure {
  readonly budget: readonly BudgetPart[];
}

/** Sources by their numbers, and each figure with the numbers of its sources. */
interface Outline {
  readonly sources: readonly string[];
  readonly figures: readonly (readonly [key: string, basis: string, load: number, sources: readonly number[]])[];
}

export const budgetName = ({ key, basis, load }: NamedFigure): string => `${key} ${basis} ${load}`;

/**
 * The budgets of an evaluation's figures as bytes, without loss: every double comes back to the last bit. Each source is named once.
 *
 * Layout: version (one byte), the outline (JSON, packed by Zstandard, RFC 8878), number of parts, the parts' uncertainties as doubles in the order of
 * the outline, with their bytes sorted by significance and packed by place.
 */
export function encodeBudgets(figures: readonly BudgetOfFigure[]): Buffer<ArrayBuffer> {
  const parts = figures.flatMap(({ budget }) => budget);
  const numbers = new Map<string, number>();
  for (const { source } of parts) if (!numbers.has(source)) numbers.set(source, numbers.size);
  const numberOf = ({ source }: BudgetPart) => numbers.get(source) as number;
  const outline: Outline = {
    sources: [...numbers.keys()],
    figures: figures.map(({ key, basis, load, budget }) => [key, basis, load, budget.map(numberOf)]),
  };
  const text = zstdCompressSync(JSON.stringify(outline));
  const values = Float64Array.from(parts, ({ uncertainty }) => uncertainty);
  const to = new ByteWriter();
  to.byte(VERSION);
  to.count(text.length);
  to.block(text);
  to.count(values.length);
  writePlanes(to, new Uint8Array(values.buffer), FLOAT_BYTES);
  return to.whole();
}

/** The budgets that `encodeBudgets` wrote, by `budgetName` of their figures. */
export function decodeBudgets(encoding: string, data: Uint8Array): ReadonlyMap<string, readonly BudgetPart[]> {
  if (encoding !== BUDGETS_ENCODING) throw new Error(`unknown encoding of budgets ${encoding}`);
  const from = new ByteReader(data);
  const version = from.byte();
  if (version !== VERSION) throw new Error(`unknown version ${version} of ${encoding}`);
  const text = zstdDecompressSync(from.block(from.count()), { maxOutputLength: MAX_TEXT_BYTES });
  const { sources, figures } = JSON.parse(text.toString("utf8")) as Outline;
  const values = new Float64Array(readPlanes(from, from.count(), FLOAT_BYTES).buffer);
  let at = 0;
  return new Map(
    figures.map(([key, basis, load, numbers]) => [
      budgetName({ key, basis, load }),
      numbers.map((number) => ({ source: sources[number] as string, uncertainty: values[at++] as number })),
    ]),
  );
}
