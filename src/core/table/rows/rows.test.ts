import { describe, expect, test } from "@jest/globals";
import fc from "fast-check";
import type { Layout } from "../layout/layout.js";
import { LogError } from "../log-error.js";
import { RowReader } from "./rows.js";
import type { Rows, WantedColumn } from "./rows-read.js";

const layout: Layout = {
  delimiter: ",",
  decimalMark: ".",
  lineEnds: { lf: 0, crlf: 0, cr: 0 },
  nulLines: 0,
  headerLine: 1,
  headers: [],
  headerRefusal: null,
  unitsRow: null,
  cellUnits: [],
  firstDataLine: 2,
  dataOffset: 0,
  quoted: false,
  firstCells: [],
  sample: [],
  thousands: false,
  width: 100,
  firstTextColumn: null,
  interval: null,
  lastDecimals: null,
};
const numbers = (...indices: number[]): WantedColumn[] => indices.map((index) => ({ index, kind: "number" }));

function readRows(text: string, wanted: WantedColumn[], change: Partial<Layout> = {}, chunkBytes = 1 << 20): Rows {
  const reader = new RowReader({ ...layout, ...change }, wanted);
  const bytes = Buffer.from(text);
  for (let at = 0; at < bytes.length; at += chunkBytes) reader.push(bytes.subarray(at, at + chunkBytes));
  return reader.finish();
}

const asLists = (rows: Rows) => ({ ...rows, columns: rows.columns.map((c) => [...c]), lines: [...rows.lines] });

describe("the rows of a table", () => {
  test("are one array per wanted column, in the order wanted, with their lines", () => {
    const rows = readRows("0,a,16.8,1\n0.1,b,16.7,2\n", numbers(0, 3, 2));
    expect(rows.columns.map((c) => [...c])).toEqual([
      [0, 0.1],
      [1, 2],
      [16.8, 16.7],
    ]);
    expect([...rows.lines]).toEqual([2, 3]);
  });

  test("come back whatever their numbers, delimiter, decimal mark, quotes and line ends", () => {
    const value = fc.double({ min: -1e6, max: 1e6, noNaN: true }).map((number) => number + 0);
    const table = fc.array(fc.tuple(value, value, value), { minLength: 1, maxLength: 40 });
    const shape = fc.constantFrom(
      ...([",", ";", "\t", "|", " "] as const).flatMap((delimiter) =>
        ([".", ","] as const).map((decimalMark) => ({ delimiter, decimalMark })),
      ),
    );
    fc.assert(
      fc.property(
        table,
        shape,
        fc.boolean(),
        fc.constantFrom("\n", "\r\n", "\r"),
        (values, { delimiter, decimalMark }, quoted, lineEnd) => {
          const quote = (quoted || delimiter === decimalMark) && delimiter !== " " ? '"' : "";
          const cell = (number: number) => quote + String(number).replace(".", decimalMark) + quote;
          const lines = values.map((row) => row.map(cell).join(delimiter === " " ? "   " : delimiter));
          const rows = readRows(lines.join(lineEnd), numbers(0, 1, 2), {
            delimiter,
            decimalMark,
          });
          expect(rows.columns.map((c) => [...c])).toEqual([0, 1, 2].map((at) => values.map((row) => row[at])));
        },
      ),
    );
  });

  test("are the same in chunks of every size", () => {
    const text = '0,"16.8",1\r\n\r\n0.1,x,2\r\ntime,voltage,current\r\n"0.2",16.6,3\r\nmean,16.7,2\r\n0.3,16.5,4';
    const whole = asLists(readRows(text, numbers(0, 1, 2)));
    expect(whole.lines).toEqual([2, 4, 6, 8]);
    for (let size = 1; size <= text.length; size++) {
      expect(asLists(readRows(text, numbers(0, 1, 2), {}, size))).toEqual(whole);
    }
  });

  test("leave out repeated headers and a trailing summary as stray lines, named with their place", () => {
    const { lines, strayLines } = readRows("0,16.8\ntime,voltage\n0.1,16.7\nSummary,2 rows\n", numbers(0, 1));
    expect([...lines]).toEqual([2, 4]);
    expect(strayLines).toEqual({
      count: 2,
      first: [
        { line: 3, text: "time,voltage" },
        { line: 5, text: "Summary,2 rows" },
      ],
    });
  });

  test("may have blank lines between them, which are not stray", () => {
    expect(readRows("0,16.8\n\n  \t\n0.1,16.7\n\n", numbers(0, 1))).toMatchObject({
      lines: Uint32Array.of(2, 5),
      strayLines: { count: 0 },
    });
  });

  test("hold NaN for empty cells, text and missing cells; only text counts as unreadable, with its place in the log", () => {
    const { columns, unreadableCells } = readRows("0,note,\n0.1,note,err\n0.2\n", numbers(0, 2));
    expect([...(columns[1] as Float64Array)]).toEqual([Number.NaN, Number.NaN, Number.NaN]);
    expect(unreadableCells).toEqual({ count: 1, first: { line: 3, column: 3 }, text: "err" });
  });

  test("count no unreadable cells of stray lines", () => {
    expect(readRows("x,y\n0,1\n", numbers(0, 1)).unreadableCells).toEqual({ count: 0, first: null, text: null });
  });
});

test("an ISO 8601 column counts from its first instant, to the last digit", () => {
  const rows = readRows("2026-05-02T09:12:00.5Z,1\n2026-05-02T09:12:01.123456Z,1\n", [
    { index: 0, kind: "iso" },
    { index: 1, kind: "number" },
  ]);
  expect([...(rows.columns[0] as Float64Array)]).toEqual([0.5, 1.123456]);
});

describe("reading stops", () => {
  const codeOf = (read: () => unknown): string => {
    try {
      read();
    } catch (error) {
      if (error instanceof LogError) return error.code;
      throw error;
    }
    return "it was read";
  };

  test("at a line too long to be a row", () => {
    expect(codeOf(() => readRows("1,".repeat(40_000), numbers(0, 1)))).toBe("log-shape-unknown");
  });

  test("at three million cells", () => {
    const wanted = numbers(...Array.from({ length: 40 }, (_, index) => index));
    expect(codeOf(() => readRows("0\n".repeat(75_000), wanted))).toBe("it was read");
    expect(codeOf(() => readRows("0\n".repeat(75_001), wanted))).toBe("log-too-large");
  });
});

test("a chunk is searched for its last line feed once, however many of its lines end otherwise", () => {
  let searches = 0;
  const bytes = Buffer.from("1,2\r".repeat(500));
  bytes.lastIndexOf = (...sought) => {
    searches++;
    return Buffer.prototype.lastIndexOf.apply(bytes, sought);
  };
  const reader = new RowReader(layout, numbers(0, 1));
  reader.push(bytes);
  expect(reader.finish().lines).toHaveLength(500);
  expect(searches).toBe(1);
});
