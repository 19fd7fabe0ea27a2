import { readFileSync } from "node:fs";
import { parse as parseRecords } from "csv-parse/sync";
import papaparse from "papaparse";
import { inferSchema, initParser } from "udsv";
import { readLog } from "../src/core/channels/read-log.js";
import { chunksOf } from "../src/core/table/archive/chunks.js";
import { readAtTheFloor } from "./floor.js";
import { ROWS } from "./make-log.js";

/** One process of the reading bench: reads the log by the named reader several times, and prints the median in ms. */
const READERS: Readonly<Record<string, (log: Buffer) => unknown>> = {
  packledger: async (log) => (await readLog(chunksOf(log), 2 ** 29)).channels.voltage?.length,
  floor: (log) => readAtTheFloor(log, ROWS)[0]?.length,
  udsv: (log) => {
    const text = log.toString();
    return toColumns(initParser(inferSchema(text)).typedArrs(text) as number[][]);
  },
  papaparse: (log) => toColumns(papaparse.parse(log.toString(), { dynamicTyping: true }).data.slice(1)),
  "csv-parse": (log) => toColumns(parseRecords(log, { from_line: 2 }).map((row) => row.map(Number))),
};

/** Rows as they come from a library, into the arrays that a computation needs. */
function toColumns(rows: readonly (readonly number[])[]): readonly Float64Array[] {
  return [0, 1, 2, 3].map((column) => Float64Array.from(rows, (row) => row[column] ?? Number.NaN));
}

const [, , name = "", file = "", rounds = "5"] = process.argv;
const read = READERS[name];
if (!read) throw new Error(`No reader ${name}; there are ${Object.keys(READERS).join(", ")}`);
const log = readFileSync(file);
const times: number[] = [];
for (let round = 0; round < Number(rounds); round++) {
  const from = performance.now();
  await read(log);
  times.push(performance.now() - from);
}
times.sort((a, b) => a - b);
console.log(times[times.length >> 1]);
