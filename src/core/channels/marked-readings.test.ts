import { describe, expect, test } from "@jest/globals";
import { readLog } from "./read-log.js";

/** A log whose current, or temperature, is as given in its rows, beside what is like any other log. */
async function currentsOf(cells: readonly (string | number)[], header = "Current [A]") {
  const rows = cells.map((cell, row) => `${row / 10},16.${row % 10},${cell}`);
  const text = ["Time [s],Voltage [V],", header, "\n", rows.join("\n"), "\n"].join("");
  return await readLog([Buffer.from(text)], 1e6);
}

const currents = Array.from({ length: 30 }, (_, row) => 40 + row);
const withMark = (mark: string | number) => currents.map((amperes, row) => (row % 10 === 5 ? mark : amperes));

describe("a mark in place of a current", () => {
  test.each([
    "OL",
    "+OL",
    "O.L.",
    "OVLD",
    "OVERRANGE",
    "over range",
    "Overload",
    "Inf",
    "1.#INF",
    "9.9E37",
    "+9.90000000E+37",
    "1e38",
  ])("%s lies beyond the range", async (mark) => {
    const { channels } = await currentsOf(withMark(mark));
    expect(Array.from(channels.current)).toEqual(withMark(Number.POSITIVE_INFINITY));
    expect(channels.columns).toEqual({ voltage: 2, current: 3 });
  });

  test.each(["-OL", "-inf", "-9.9E37"])("%s lies beyond its other end", async (mark) => {
    const { channels } = await currentsOf(withMark(mark));
    expect(Array.from(channels.current)).toEqual(withMark(Number.NEGATIVE_INFINITY));
  });

  test.each(["NaN", "-nan", "1.#IND", "1.#QNAN", "9.91E37", "+9.91000000E+37", "---", "- - -", "Err", "n/a"])(
    "%s is no reading",
    async (mark) => {
      const { channels } = await currentsOf(withMark(mark));
      expect(Array.from(channels.current)).toEqual(withMark(Number.NaN));
    },
  );
});

test("one alone is told as one", async () => {
  const { adjustments } = await currentsOf(currents.map((amperes, row) => (row === 5 ? "9.9E37" : amperes)));
  expect(adjustments).toMatchObject([
    { message: 'A number of "Current [A]" stands for no reading: in line 7, 9.9e+37. It was taken as missing.' },
  ]);
});

describe("the last number of a converter", () => {
  test.each([65_535, 6553.5, 32_767, 327.67, 8_388_607, 9999, 999.99])(
    "%d lies beyond the range where all else is within half of it, and is told",
    async (mark) => {
      const { channels, adjustments } = await currentsOf(withMark(mark));
      expect(Array.from(channels.current)).toEqual(withMark(Number.POSITIVE_INFINITY));
      expect(adjustments).toMatchObject([
        {
          kind: "numbers-taken-as-missing",
          message: `3 numbers of "Current [A]" stand for no reading, the first in line 7, ${mark}. They were taken as missing.`,
        },
      ]);
    },
  );

  test("-32768 lies beyond its other end", async () => {
    const { channels } = await currentsOf(withMark(-32_768));
    expect(Array.from(channels.current)).toEqual(withMark(Number.NEGATIVE_INFINITY));
  });

  test("is a spike where it comes once", async () => {
    const { channels } = await currentsOf(currents.map((amperes, row) => (row === 5 ? -327.68 : amperes)));
    expect(channels.current[5]).toBe(-327.68);
  });

  test.each([
    [0.45, Number.POSITIVE_INFINITY],
    [0.55, 327.67],
    [0.95, 327.67],
  ])("where the largest other one is %d of it, is %d", async (share, expected) => {
    const largest = Math.max(...currents);
    const others = currents.map((amperes) => (amperes * share * 327.67) / largest);
    const read = await currentsOf(others.map((amperes, row) => (row % 10 === 5 ? 327.67 : amperes)));
    expect(read.channels.current[5]).toBe(expected);
  });

  test.each([99, 100, 4096, 65_000, 999])("%d is none", async (number) => {
    const { channels, adjustments } = await currentsOf(withMark(number));
    expect(Array.from(channels.current)).toEqual(withMark(number));
    expect(adjustments).toEqual([]);
  });
});

test("a power beyond its range is missing beside a current, and makes one beyond its range where it is derived", async () => {
  const powers = currents.map((amperes, row) => (row % 10 === 5 ? "OL" : 16 * amperes));
  const beside = await currentsOf(
    powers.map((watts, row) => `${currents[row]},${watts}`),
    "Current [A],Power [W]",
  );
  expect(beside.channels.power?.[5]).toBeNaN();
  const { channels } = await currentsOf(powers, "Power [W]");
  expect(channels.current[5]).toBe(Number.POSITIVE_INFINITY);
  expect(channels.columns).toEqual({ voltage: 2, current: 3 });
});

test("a temperature beyond its range is missing, and one that is nothing else is no channel", async () => {
  const head = "Current [A],Temperature [degC]";
  const some = await currentsOf(
    currents.map((amperes, row) => `${amperes},${row % 2 ? "OL" : 25}`),
    head,
  );
  expect(Array.from(some.channels.temperatures[0] ?? [])).toEqual(
    currents.map((_, row) => (row % 2 ? Number.NaN : 25)),
  );
  const none = await currentsOf(
    currents.map((amperes) => `${amperes},OL`),
    head,
  );
  expect(none.channels.temperatures).toEqual([]);
});
