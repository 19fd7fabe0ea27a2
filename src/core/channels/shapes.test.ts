import { readdirSync, readFileSync, statSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "@jest/globals";
import { REFUSED_SHAPES } from "../../../test/corpus/generator/not-ok/refused-shapes.js";
import { OK_FILES } from "../../../test/corpus/generator/ok/ok-files.js";
import { KNOWN_RUN } from "../../../test/support/known-run.js";
import type { WholeSample } from "../../../test/support/written-log.js";
import type { ColumnMap } from "../model.js";
import { LogError } from "../table/log-error.js";
import { type LogChannels, readLog } from "./read-log.js";

const root = join(import.meta.dirname, "../../..");
const OK = join(root, "test/corpus/ok");
const NOT_OK = join(root, "test/corpus/not-ok");
const [read = "", refused = ""] = readFileSync(join(root, "docs/shapes.md"), "utf8").split("\n## Refused\n");
const rowsOf = (page: string) =>
  [...page.matchAll(/^\| [^|]+ \| `([^`]+\.[a-z.]+)` \| ([^|]*) ?\|$/gm)].map(([, file = "", last = ""]) => [
    file,
    last.trim(),
  ]);
const READ = rowsOf(read) as [string, string][];

describe("the page of shapes", () => {
  test("names every file that is read, and no other", () => {
    expect(READ.map(([file]) => file).sort()).toEqual(readdirSync(OK).sort());
  });

  test("names every file that is refused, with its problem", () => {
    const refusals = JSON.parse(readFileSync(join(NOT_OK, "refusals.json"), "utf8")) as Record<
      string,
      { code: string }
    >;
    const known = Object.entries(refusals).map(([file, { code }]) => [file, `\`${code}\``]);
    expect(rowsOf(refused).sort()).toEqual(known.sort());
  });
});

const TOLERANCE = 1e-6;
const near = (a: number, b: number) => Math.abs(a - b) < TOLERANCE;

/** Where a row differs from its sample; a missing reading of damage is no difference. */
function differenceOf(channels: LogChannels, row: number, { mV, cA, dC }: WholeSample): string | null {
  const volts = channels.voltage?.[row] ?? channels.cells.reduce((sum, cell) => sum + (cell[row] as number), 0);
  const probes = channels.temperatures.map((probe) => probe[row] as number).filter((value) => !Number.isNaN(value));
  if (!near(volts, mV / 1000)) return `${volts} V`;
  if (!near(Math.abs(channels.current[row] as number), cA / 100)) return `${channels.current[row]} A`;
  return probes.length === 0 || near(Math.max(...probes), dC / 10) ? null : `${probes} degC`;
}

describe("each file holds the known run", () => {
  test.each(READ)("%s", async (file, reported) => {
    const bytes = readFileSync(join(OK, file));
    expect(statSync(join(OK, file)).size).toBeLessThanOrEqual(8192);
    expect(bytes.equals(OK_FILES[file] as Uint8Array)).toBe(true);
    const { channels, adjustments, rows } = await readLog([bytes], 1 << 20);
    const origin = channels.time[0] as number;
    let before = -1;
    channels.time.forEach((time, row) => {
      const at = Math.round((time - origin) * 5);
      const sample = KNOWN_RUN[at] as WholeSample;
      expect([row, at > before, near(time - origin, sample.ms / 1000)]).toEqual([row, true, true]);
      expect([row, differenceOf(channels, row, sample)]).toEqual([row, null]);
      before = at;
    });
    const lost = /tail-cut|row-without-time/.test(file) ? 1 : 0;
    expect(rows).toBe(KNOWN_RUN.length - lost);
    const kinds = [...new Set(adjustments.map(({ kind }) => kind))];
    expect(kinds.join(", ")).toBe(reported);
  });
});

describe("each refused file", () => {
  test.each(Object.entries(REFUSED_SHAPES))("is as it was made: %s", (file, bytes) => {
    expect(readFileSync(join(NOT_OK, file)).equals(bytes)).toBe(true);
  });

  const files = readdirSync(NOT_OK).filter((file) => file !== "refusals.json");
  test.each(files)("comes with maps that read it, or lead to the next question: %s", async (file) => {
    const bytes = readFileSync(join(NOT_OK, file));
    const asked = await refusalOf(bytes, {});
    for (const { channel, columns } of asked?.proposal?.candidates ?? []) {
      const next = await refusalOf(bytes, columns);
      const isSameQuestion = next !== null && next.code === asked?.code && next.message === asked?.message;
      expect([channel, columns, isSameQuestion]).toEqual([channel, columns, false]);
      if (next) expect(next.proposal?.candidates).not.toEqual([]);
    }
  });
});

async function refusalOf(bytes: Uint8Array, columns: ColumnMap): Promise<LogError | null> {
  try {
    await readLog([bytes], 1 << 20, { columns });
    return null;
  } catch (error) {
    if (error instanceof LogError) return error;
    throw error;
  }
}
