import { gzipSync } from "node:zlib";
import { expect, test } from "@jest/globals";
import { createRandom } from "../../../seed/simulator/random.js";
import { type Shape, type WholeSample, writeLog } from "../../../test/support/written-log.js";
import { LogError } from "../table/log-error.js";
import { readLog } from "./read-log.js";

// `npm run test:damaged` reads 20,000.
const FILES = Number(process.env.DAMAGED_LOGS ?? 1_500);
const SEED = 20_260_502;

const samples: readonly WholeSample[] = Array.from({ length: 22 }, (_, i) => ({
  ms: i * 500,
  mV: 16_800 - (i < 3 ? 0 : 1200 + 9 * i),
  cA: i < 3 ? 0 : 9600 + i,
  dC: 215 + i,
}));
const plain: Shape = {
  delimiter: ",",
  decimalMark: ".",
  lineEnd: "\n",
  encoding: "utf-8",
  language: "English",
  unitStyle: "brackets",
  timeForm: "s",
  voltageUnit: "V",
  currentUnit: "A",
  temperatureUnit: "degC",
  preamble: [],
  quoted: "where needed",
  order: [1, 2, 3, 4, 5, 6, 7],
  extraColumns: false,
  negative: false,
  lastLineEnds: true,
  gzip: false,
};
const records = samples.map(({ ms, mV, cA }) => ({
  "time [s]": ms / 1000,
  "voltage [V]": mV / 1000,
  "current [A]": cA / 100,
}));
const named = {
  time: samples.map(({ ms }) => ms),
  voltage: samples.map(({ mV }) => mV),
  current: samples.map(({ cA }) => cA),
};
const BASES: readonly Uint8Array[] = [
  writeLog(samples, plain),
  writeLog(samples, {
    ...plain,
    delimiter: ";",
    decimalMark: ",",
    language: "Polish",
    unitStyle: "units row",
    preamble: ['"Bench\n4";7', ""],
  }),
  writeLog(samples, { ...plain, quoted: "all", decimalMark: ",", timeForm: "date and time", lineEnd: "\r\n" }),
  writeLog(samples, {
    ...plain,
    delimiter: "\t",
    timeForm: "isoZ",
    extraColumns: true,
    encoding: "latin-1",
    lineEnd: "\r",
  }),
  writeLog(samples, { ...plain, delimiter: "|", timeForm: "m:s", unitStyle: "none", encoding: "utf-16le" }),
  writeLog(samples, { ...plain, delimiter: "   ", timeForm: "epoch us", unitStyle: "slash", negative: true }),
  Buffer.from(JSON.stringify(records)),
  Buffer.from(JSON.stringify(named)),
  gzipSync(writeLog(samples, plain)),
];
/** What most often matters to a reader of tables. */
const TELLING = Buffer.from('\0\r\n\t ,;|".-+eE:0123456789[]{}/TZ\u00ff\u00fe', "latin1");

function mutated(random: () => number): Uint8Array {
  const below = (count: number) => Math.floor(random() * count);
  let bytes = Buffer.from(BASES[below(BASES.length)] as Uint8Array);
  for (let changes = 1 + below(6); changes > 0; changes--) {
    const at = below(bytes.length + 1);
    const length = below(2) === 0 ? 1 : below(40);
    const before = bytes.subarray(0, at);
    const after = bytes.subarray(at + length);
    const kind = below(5);
    if (kind === 0) bytes = Buffer.concat([before, after]);
    else if (kind === 1) bytes = Buffer.concat([before, TELLING.subarray(below(TELLING.length)).subarray(0, 1), after]);
    else if (kind === 2) bytes = Buffer.concat([before, bytes.subarray(at, at + length), bytes.subarray(at)]);
    else if (kind === 3) bytes = Buffer.concat([before, Buffer.from([below(256)]), after]);
    else
      bytes =
        below(8) === 0
          ? bytes.subarray(0, at)
          : Buffer.concat([before, bytes.subarray(below(bytes.length + 1)), after]);
  }
  return bytes.subarray(0, 6000);
}

test("damaged logs are read, or refused with what to mend: nothing else", async () => {
  const random = createRandom(SEED);
  const outcomes = { read: 0, refused: 0 };
  for (let file = 0; file < FILES; file++) {
    const bytes = mutated(() => random.uniform());
    try {
      const { channels, rows } = await readLog([bytes], 1 << 20);
      if (rows !== channels.time.length || channels.current.length !== rows)
        throw new Error(`file ${file}: ${rows} rows`);
      if (channels.time.some(Number.isNaN)) throw new Error(`file ${file}: a row without a time`);
      outcomes.read++;
    } catch (error) {
      if (!(error instanceof LogError)) throw new Error(`file ${file}: ${bytes.toString()}`, { cause: error });
      expect(error.message.length).toBeGreaterThan(40);
      outcomes.refused++;
    }
  }
  // Both ends of the range: a generator that only breaks, or never does, tests nothing.
  expect(outcomes.read).toBeGreaterThan(FILES / 10);
  expect(outcomes.refused).toBeGreaterThan(FILES / 10);
});
