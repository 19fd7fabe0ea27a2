import { describe, expect, test } from "@jest/globals";
import type { SavedColumnMap } from "../model.js";
import { readLog } from "./read-log.js";
import type { MapChoice } from "./saved-map.js";

const LOG = Buffer.from(`a,b,c\n${Array.from({ length: 20 }, (_, i) => `${i * 100},16.8,5`).join("\n")}\n`);
const COLUMNS = {
  time: { name: "a", unit: "ms" },
  voltage: { name: "b", unit: "V" },
  current: { name: "c", unit: "A" },
};
const MINE: SavedColumnMap = { label: "Shed logger", header: ["a", "b", "c"], columns: COLUMNS };

const read = (maps: MapChoice) => readLog([LOG], 1e6, maps);

describe("a saved column map", () => {
  test("is applied to a log with exactly its header row, and says so", async () => {
    const log = await read({ savedMaps: [{ ...MINE, label: "Other", header: ["a", "b"] }, MINE] });
    expect(log.savedMap).toEqual(MINE);
    expect(log.readings.map(({ reason }) => reason)).toEqual(
      Array(3).fill("named by your saved column map Shed logger"),
    );
  });

  test.each([[["a", "b"]], [["a", "b", "c", "d"]], [["A", "b", "c"]], [["b", "a", "c"]]])(
    "is left aside for the header %j",
    async (header) => {
      await expect(read({ savedMaps: [{ ...MINE, header }] })).rejects.toMatchObject({ code: "log-column-missing" });
    },
  );

  test("gives way to a map that was sent", async () => {
    const log = await read({ columns: { ...COLUMNS, current: { name: "c", unit: "mA" } }, savedMaps: [MINE] });
    expect([log.savedMap, log.channels.current[0]]).toEqual([null, 0.005]);
  });

  test("gives the same reading again from what is stored with the run", async () => {
    const first = await read({ savedMaps: [MINE] });
    const again = await read({ columns: first.savedMap?.columns ?? null, columnsLabel: first.savedMap?.label ?? null });
    expect(again.readings).toEqual(first.readings);
    expect(again.channels).toEqual(first.channels);
  });

  test("is named where it does not fit", async () => {
    const wrong = { ...MINE, columns: { ...COLUMNS, voltage: { name: "b", unit: "A" } } };
    await expect(read({ savedMaps: [wrong] })).rejects.toMatchObject({
      code: "log-unit-missing",
      message: expect.stringContaining("Your saved column map Shed logger gives voltage"),
    });
  });
});
