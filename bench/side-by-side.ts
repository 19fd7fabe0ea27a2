import { execFileSync, spawnSync } from "node:child_process";
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { makeLog, type Shape } from "./make-log.js";

/** Something to measure: a command that is given the log and the number of rounds, and prints its median in ms. */
export interface Contender {
  readonly name: string;
  readonly command: string;
  readonly args: (log: string, rounds: number) => readonly string[];
}

const ROUNDS = 5;
const PROCESSES = 5;

export const here = (file: string): string => join(import.meta.dirname, file);
/** The script of the Python peers stands beside the sources, not beside what is built of them. */
const PEER = "bench/evaluate_peer.py";

/** The contender in Python; null, and said so, where no pandas is installed. */
export function pandas(name: string, what: "read" | "metrics" | Shape): Contender | null {
  const command = ["python3", "/usr/bin/python3"].find((one) => spawnSync(one, ["-c", "import pandas"]).status === 0);
  if (command) return { name, command, args: (log, rounds) => [PEER, what, log, String(rounds)] };
  console.log(`${name}: not measured, since no python3 here has pandas (apt-get install python3-pandas)`);
  return null;
}

/**
 * Runs every contender in fresh processes, one after the other, in turned order from turn to turn, and prints for each
 * the median of the processes' medians, their range, and the ratio to the first.
 */
export function sideBySide(contenders: readonly (Contender | null)[], shape: Shape = "plain"): void {
  const folder = mkdtempSync(join(tmpdir(), "packledger-bench-"));
  const log = join(folder, "log.csv");
  writeFileSync(log, makeLog(shape));
  const present = contenders.filter((contender) => contender !== null);
  const medians = new Map<string, number[]>(present.map(({ name }) => [name, []]));
  for (let turn = 0; turn < PROCESSES; turn++) {
    const order = turn % 2 === 0 ? present : [...present].reverse();
    for (const { name, command, args } of order) {
      medians.get(name)?.push(Number(execFileSync(command, args(log, ROUNDS), { encoding: "utf8" })));
    }
  }
  rmSync(folder, { recursive: true });
  const middle = (values: readonly number[]) => [...values].sort((a, b) => a - b)[values.length >> 1] ?? Number.NaN;
  const ours = middle(medians.get(present[0]?.name ?? "") ?? []);
  console.log("| | median, ms | of the processes, ms | ratio to ours |\n|---|---|---|---|");
  for (const [name, values] of medians) {
    const range = `${Math.min(...values).toFixed(0)}-${Math.max(...values).toFixed(0)}`;
    console.log(`| ${name} | ${middle(values).toFixed(1)} | ${range} | ${(middle(values) / ours).toFixed(2)} |`);
  }
}
