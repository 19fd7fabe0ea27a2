import { expect, test } from "@jest/globals";
import fc from "fast-check";
import { parseNumber } from "../cells/cells.js";
import { type Cursor, endOfWholeLines, type PlainTable, readPlainRows } from "./plain-rows.js";

const ROWS_LIMIT = 64;
const tableOf = (decimalMark: string, slots: readonly number[], origins: readonly number[]): PlainTable => ({
  delimiter: ";".charCodeAt(0),
  decimalMark: decimalMark.charCodeAt(0),
  slotAt: Int32Array.from(slots),
  origins: Float64Array.from(origins),
  cells: new Float64Array(origins.length * ROWS_LIMIT),
  lines: new Uint32Array(ROWS_LIMIT),
  rowsLimit: ROWS_LIMIT,
  width: 100,
  clockSlot: -1,
});
const readAll = (text: string, table: PlainTable): Cursor => {
  const bytes = Buffer.from(text, "latin1");
  const cursor: Cursor = { at: 0, line: 1, rows: 0, crlf: 0, clocks: { whole: 0, fractions: 0 } };
  readPlainRows(bytes, endOfWholeLines(bytes, bytes.length), table, cursor);
  return cursor;
};

const digits = (minLength: number, maxLength: number) =>
  fc.string({ unit: fc.constantFrom(..."0123456789"), minLength, maxLength });
/** Numbers of every length, and now and then something that is no plain number. */
const cell = fc.oneof(
  {
    weight: 8,
    arbitrary: fc
      .tuple(fc.constantFrom("", "", "-", " "), digits(1, 19), fc.constantFrom("", "."), digits(0, 24))
      .map((p) => p.join("")),
  },
  { weight: 1, arbitrary: fc.constantFrom("", "+5", "1e3", ".5", "-", "--", "OL", '"5"', "5 ", "1.2.3", "\0") },
);

test("what the fast way reads of a row, the general way reads too, to the last bit; and where it stops, nothing is lost", () => {
  fc.assert(
    fc.property(
      fc.array(fc.tuple(cell, cell, cell), { maxLength: 12 }),
      fc.constantFrom(".", ","),
      fc.constantFrom("\n", "\r\n"),
      fc.constantFrom(0, 1_777_712_400),
      (rows, mark, lineEnd, origin) => {
        const written = rows.map((row) => row.map((text) => text.replace(".", mark)));
        const lines = written.map((row) => row.join(";") + lineEnd);
        const table = tableOf(mark, [0, -1, 1], [origin, 0]);
        const { at, rows: count, line, crlf } = readAll(lines.join(""), table);
        expect(at).toBe(lines.slice(0, count).join("").length);
        expect([line, crlf]).toEqual([count + 1, lineEnd === "\r\n" ? count : 0]);
        for (let row = 0; row < count; row++) {
          const general = [0, 2].map((column, slot) => {
            const bytes = Buffer.from(written[row]?.[column] ?? "", "latin1");
            return parseNumber(bytes, 0, bytes.length, mark.charCodeAt(0), slot === 0 ? origin : 0);
          });
          expect([table.cells[row], table.cells[ROWS_LIMIT + row]]).toEqual(general);
        }
      },
    ),
    { numRuns: 3000 },
  );
});

test("plain rows are all read the fast way, up to the last whole line", () => {
  const table = tableOf(".", [0, 1], [0, 0]);
  expect(readAll("0.1;16.8\n-0.25;\r\n 7;123456789012.5\n9;1", table)).toMatchObject({
    at: 35,
    line: 4,
    rows: 3,
    crlf: 1,
  });
  expect([...table.cells.subarray(0, 3)]).toEqual([0.1, -0.25, 7]);
  expect([...table.cells.subarray(ROWS_LIMIT, ROWS_LIMIT + 3)]).toEqual([16.8, Number.NaN, 123_456_789_012.5]);
});

test.each(["x;1\n", '"1";1\n', "1;1\r2;2\n", ";1\n", "1;+1\n", "1;9007199254740993\n"])(
  "%j is left to the general way",
  (text) => expect(readAll(text, tableOf(".", [0, 1], [0, 0])).rows).toBe(0),
);
