import { readFile, writeFile } from "node:fs/promises";
import type { ReadStream } from "node:tty";
import type { Channel, ColumnMap } from "../../core/model.js";
import { UsageError } from "../usage-error.js";
import { declaredRunIn, ownRunFile, runFileOf } from "./log-files.js";

/** A column map that settles what a log leaves open. */
export interface Candidate {
  readonly channel: Channel;
  readonly columns: ColumnMap;
}

/** More cannot be told apart by one key. */
const MAX_KEYS = 9;

export interface ChoiceOptions {
  readonly run?: string;
  /** The number of a candidate, from 1 on, in place of a key. */
  readonly choose?: number;
}

/** @throws UsageError when a number is named for several logs, each of which leaves open something else */
export function requireOneLog(files: readonly string[], { choose }: ChoiceOptions): void {
  if (choose !== undefined && files.length !== 1) throw new UsageError("--choose goes with one log.");
}

/** A line for each candidate, numbered from 1: the channel and the column that it would be. */
export function candidateLines(candidates: readonly Candidate[]): string[] {
  return candidates.map(({ channel, columns }, i) => `    ${i + 1}  ${channel}: ${wordsOf(columns[channel as never])}`);
}

function wordsOf(wish: ColumnMap[keyof ColumnMap]): string {
  if (wish == null) return "no column";
  if (typeof wish === "string") return `column "${wish}"`;
  if ("interval" in wish) return `a row every ${wish.interval} ${wish.unit ?? "s"}`;
  const { name, column, unit, factor, sign } = wish;
  return [
    name === undefined ? `column ${column}` : `column "${name}"`,
    ...(unit ? [`in ${unit}`] : []),
    ...(factor === undefined ? [] : [`times ${factor}`]),
    ...(sign ? [`with ${sign === "discharge-positive" ? "positive" : "negative"} numbers for a discharge`] : []),
  ].join(", ");
}

/**
 * Shows what would settle the columns of a log, takes one of them by a key at the terminal or by `--choose`, and writes it into the run file.
 *
 * @returns whether it was written, so that the log can be read again
 * @throws UsageError when `--choose` names none of them
 */
export async function chooseColumns(
  logFile: string,
  candidates: readonly Candidate[],
  { run, choose }: ChoiceOptions,
): Promise<boolean> {
  if (candidates.length === 0) return false;
  console.error([`  ${logFile}: one of these would settle it`, ...candidateLines(candidates)].join("\n"));
  const number = choose ?? (await askedNumber(Math.min(candidates.length, MAX_KEYS)));
  if (number === null) return false;
  const chosen = candidates[number - 1];
  if (!chosen) throw new UsageError(`--choose ${number}: there are ${candidates.length} to choose from.`);
  const file = await writeColumns(logFile, run, chosen.columns);
  console.error(`  ${file}: columns are as in ${number}`);
  return true;
}

async function askedNumber(count: number): Promise<number | null> {
  if (!process.stdin.isTTY || !process.stderr.isTTY) {
    console.error("  Write one into `columns` of the run file, or name its number with --choose.");
    return null;
  }
  process.stderr.write(`  Press 1 to ${count} to write it into the run file, any other key for none. `);
  const key = await pressedKey(process.stdin);
  process.stderr.write("\n");
  const number = /^[1-9]$/.test(key) ? Number(key) : 0;
  return number >= 1 && number <= count ? number : null;
}

/** The next key of a terminal, without Enter. Ctrl+C ends the command, as ever. */
export async function pressedKey(terminal: ReadStream): Promise<string> {
  terminal.setRawMode(true);
  terminal.resume();
  const key = await new Promise<string>((resolve) => {
    terminal.once("data", (bytes) => resolve(String(bytes)));
    terminal.once("end", () => resolve(""));
  });
  terminal.setRawMode(false);
  terminal.pause();
  if (key === "\u0003") process.kill(process.pid, "SIGINT");
  return key;
}

/** Writes a column map into the log's own run file: one that was named or is the log's alone is changed, of one for a folder a copy is made. */
async function writeColumns(logFile: string, named: string | undefined, columns: ColumnMap): Promise<string> {
  const from = await runFileOf(logFile, named);
  const to = named ?? ownRunFile(logFile);
  const declared = await declaredRunIn(from);
  const text = await readFile(from, "utf8");
  const indent = /^\{\n( +|\t)/.exec(text)?.[1] ?? "  ";
  await writeFile(to, `${JSON.stringify({ ...declared, columns }, null, indent)}\n`);
  return to;
}
