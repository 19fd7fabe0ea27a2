import { describe, expect, test } from "@jest/globals";
import { LogError } from "../log-error.js";
import { recordsOf } from "./head-records.js";
import { findLayout, type Layout } from "./layout.js";

const layoutOf = (lines: readonly string[], lineEnd = "\n"): Layout =>
  findLayout(recordsOf(Buffer.from(`${lines.join(lineEnd)}${lineEnd}`)));

/** Three columns of readings, with a fraction in each. */
const rows = (delimiter: string, mark = ".", quote = "") =>
  Array.from({ length: 6 }, (_, i) =>
    [`0.${i}`, `16.${80 - i}`, `${i}.25`].map((cell) => quote + cell.replace(".", mark) + quote).join(delimiter),
  );

function refusal(lines: readonly string[]): LogError {
  try {
    layoutOf(lines);
  } catch (error) {
    if (error instanceof LogError) return error;
    throw error;
  }
  throw new Error("it was read");
}

describe("the layout is found", () => {
  test.each([
    ["commas and points", ",", "."],
    ["semicolons and points", ";", "."],
    ["semicolons and commas", ";", ","],
    ["tabs and points", "\t", "."],
    ["tabs and commas", "\t", ","],
    ["pipes and points", "|", "."],
    ["pipes and commas", "|", ","],
  ] as const)("with %s", (_, delimiter, mark) => {
    const layout = layoutOf([["t [s]", "U [V]", "I [A]"].join(delimiter), ...rows(delimiter, mark)]);
    expect(layout).toMatchObject({ delimiter, decimalMark: mark, headerLine: 1, firstDataLine: 2 });
    expect(layout.headers).toEqual(["t [s]", "U [V]", "I [A]"]);
  });

  // Tabs are spaces too: both readings give the same numbers.
  test.each([
    ["tabs, also at the end of each line", "t [s]\tU [V]\tI [A]\t", "\t"],
    ["tabs, also at the end of each line of data", "t\tU\tI", "\t"],
    ["tabs, two of them at the end of each line of data", "t\tU\tI", "\t\t"],
  ])("with %s", (_, header, end) => {
    const layout = layoutOf([header, ...rows("\t").map((row) => row + end)]);
    expect(layout).toMatchObject({ delimiter: "\t", decimalMark: ".", headerLine: 1, firstDataLine: 2 });
    expect(layout.headers.slice(0, 3)).toEqual(header.trim().split("\t"));
  });

  test.each([".", ","])(
    "with runs of spaces and the decimal mark %s, units in brackets kept with their names",
    (mark) => {
      const layout = layoutOf(["t [s]   U [V]   I [A]", ...rows("    ", mark)]);
      expect(layout).toMatchObject({ delimiter: " ", decimalMark: mark });
      expect(layout.headers).toEqual(["t[s]", "U[V]", "I[A]"]);
    },
  );

  test("with decimal commas in quoted fields between commas (RFC 4180)", () => {
    const layout = layoutOf(['"t [s]","U [V]","I [A]"', ...rows(",", ",", '"')]);
    expect(layout).toMatchObject({ delimiter: ",", decimalMark: "," });
    expect(layout.headers).toEqual(["t [s]", "U [V]", "I [A]"]);
    expect(layout.firstCells).toEqual(["0,0", "16,80", "0,25"]);
  });

  test.each([
    ["LF", "\n"],
    ["CRLF", "\r\n"],
    ["CR", "\r"],
  ])("with lines that end in %s, and the data begin at their first byte", (_, lineEnd) => {
    const lines = ["Bench 4, hall", "", "t [s],U [V],I [A]", ...rows(",")];
    const layout = layoutOf(lines, lineEnd);
    expect(layout).toMatchObject({ headerLine: 3, firstDataLine: 4 });
    expect(layout.dataOffset).toBe(lines.slice(0, 3).join(lineEnd).length + lineEnd.length);
  });

  test("below a preamble that holds numbers of its own", () => {
    const preamble = ["Serial: 12345", "Range,60,200", "Offset;0,5", ""];
    expect(layoutOf([...preamble, "t [s],U [V],I [A]", ...rows(",")])).toMatchObject({
      headerLine: 5,
      firstDataLine: 6,
    });
  });

  test("below a preamble that is a table of its own, with a word in each row", () => {
    const ranges = [1, 2, 3, 4, 5].map((channel) => `Channel ${channel},60,200`);
    expect(layoutOf([...ranges, "t [s],U [V],I [A]", ...rows(",")])).toMatchObject({ headerLine: 6, firstDataLine: 7 });
  });

  test.each([
    ["a lone row of numbers", ["60,200,5"]],
    ["rows of numbers of unequal width", ["60,200", "1,2,3", "7,8", "4,5,6", "60,200"]],
  ])("below a preamble that holds %s", (_, preamble) => {
    const layout = layoutOf([...preamble, "t [s],U [V],I [A]", ...rows(",")]);
    expect(layout.firstDataLine).toBe(preamble.length + 2);
  });

  test("with a units row under the header", () => {
    const layout = layoutOf(["time;voltage;current", "s;V;A", ...rows(";")]);
    expect(layout).toMatchObject({ headerLine: 1, unitsRow: ["s", "V", "A"], firstDataLine: 3 });
  });

  test("with units in brackets in a units row", () => {
    expect(layoutOf(["time;voltage;current", "[s];[V];[A]", ...rows(";")]).unitsRow).toEqual(["[s]", "[V]", "[A]"]);
  });

  test("in a log whose time is a clock or an ISO 8601 instant", () => {
    const timed = (time: (i: number) => string) => rows(";").map((row, i) => `${time(i)};${row}`);
    const header = "time;s;U [V];I [A]";
    expect(layoutOf([header, ...timed((i) => `09:12:0${i}.5`)])).toMatchObject({ delimiter: ";", headerLine: 1 });
    expect(layoutOf([header, ...timed((i) => `2026-05-02T09:12:0${i}Z`)])).toMatchObject({
      delimiter: ";",
      headerLine: 1,
    });
  });

  test("with empty cells in some rows", () => {
    expect(layoutOf(["t [s],U [V],I [A],T [degC]", ...rows(",").map((row) => `${row},`)])).toMatchObject({
      delimiter: ",",
      firstDataLine: 2,
    });
  });
});

describe("the layout is refused", () => {
  test("when two readings are equally good, and both are named", () => {
    // "0 ,16800 ,5": columns between commas, or decimal fractions between blanks.
    const lines = ["t [ms] ,U [mV] ,I [mA]", ...Array.from({ length: 5 }, (_, i) => `${i} ,168${i}0 ,5`)];
    const { code, message, places } = refusal(lines);
    expect(code).toBe("log-shape-unknown");
    expect(message).toContain('delimiter "," with decimal mark "."');
    expect(message).toContain('delimiter spaces with decimal mark ","');
    expect(places[0]?.line).toBe(2);
  });

  test("when numbers begin without a header, and the line is named", () => {
    expect(layoutOf(rows(","))).toMatchObject({
      headers: ["", "", ""],
      headerRefusal: { code: "log-header-missing", places: [{ line: 1 }] },
    });
  });

  test.each([
    ["prose", ["The pack was charged and rested.", "Then it was tested, twice."]],
    ["a header alone", ["t [s],U [V],I [A]"]],
    ["one column", ["U [V]", "16.8", "16.7", "16.6"]],
  ])("for %s", (_, lines) => expect(refusal(lines).code).toBe("log-shape-unknown"));
});

test("a wider table below a narrow one is told as a second table, and not as numbers with commas of their own", () => {
  const wider = ["t [s],U [V],I [A],T [degC]", "0.0,16.80,1.25,21.1", "0.1,16.79,1.25,21.2", "0.2,16.78,1.25,21.2"];
  const { code, message, places } = refusal(["t [min],U [V],I [A]", ...rows(","), ...wider]);
  expect({ code, lines: places.map(({ line }) => line) }).toEqual({ code: "log-shape-unknown", lines: [8] });
  expect(message).toMatch(
    /two tables: one of 3 columns, and from line 8 on one of 4\. Upload the table of the samples/,
  );
});
