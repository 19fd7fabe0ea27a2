import { describe, expect, test } from "@jest/globals";
import { openTable } from "../open-table.js";

const MIB = 2 ** 20;
const numbers = [0, 1, 2].map((index) => ({ index, kind: "number" as const }));
const read = async (text: string) => (await openTable([Buffer.from(text)])).read(numbers, true);

describe("a table in JSON", () => {
  test("holds numbers, numbers in texts, none for null, and infinite ones for marks beyond the range; rows without a time are lost", async () => {
    const rows = await read('{"t":[0,"0.5",null,2],"u":[16.8,"16.7",1,"OL"],"i":[0,null,1,2],"note":"x"}');
    expect(rows.columns.map((column) => [...column])).toEqual([
      [0, 0.5, 2],
      [16.8, 16.7, Number.POSITIVE_INFINITY],
      [0, Number.NaN, 2],
    ]);
    expect(rows.lostRows.count).toBe(1);
    expect(rows.unreadableCells).toMatchObject({ count: 1, text: "OL" });
  });

  test("may leave out members of records", async () => {
    const rows = await read('[{"t":0,"u":1,"i":2},{"t":1,"i":3}]');
    expect([...(rows.columns[1] as Float64Array)]).toEqual([1, Number.NaN]);
  });

  test("that breaks off is refused with the line and column of the break", async () => {
    await expect(read('{"t": [0,\n1 2]}')).rejects.toMatchObject({
      code: "log-shape-unknown",
      places: [{ line: 2, column: 3 }],
    });
  });

  test("of more than 32 MiB is refused before it is held whole", async () => {
    let taken = 0;
    function* chunks() {
      yield Buffer.from('{"time [s]": [');
      for (; taken < 512; taken++) yield Buffer.alloc(MIB, "1,");
    }
    await expect(openTable(chunks())).rejects.toMatchObject({ code: "log-too-large" });
    expect(taken).toBeLessThan(40);
  });
});

test("a section in brackets is no JSON", async () => {
  const { head } = await openTable([Buffer.from(`[Samples]\nt [s],U [V],I [A]\n${"1,2,3\n".repeat(5)}`)]);
  expect(head.headers).toEqual(["t [s]", "U [V]", "I [A]"]);
});
