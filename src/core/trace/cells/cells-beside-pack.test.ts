import { describe, expect, test } from "@jest/globals";
import { evaluateText } from "../../../../test/support/evaluated.js";
import { BENCH, FACTS, PACK } from "../../../../test/support/facts.js";
import type { Sense } from "../../model.js";

const LOAD_A = 100;
const OHM = 0.012;

interface Logged {
  /** By which the pack's voltage as sensed differs from the sum of its cells under load, V. */
  readonly apartV?: number;
  readonly hasPack?: boolean;
  readonly sense?: Sense;
  readonly cells?: number;
}

/** A pack of four cells behind a resistance, logged at 10 Hz with its cells and its own voltage. */
async function said({ apartV = 0, hasPack = true, sense = { point: "pack" }, cells = 4 }: Logged) {
  const rows = Array.from({ length: 1000 }, (_, i) => {
    const isOn = i >= 40 && i < 940;
    const drawn = Math.max(0, Math.min(i, 940) - 40) / 900;
    const noise = ((i * 37) % 11) / 2000;
    const volts = 16.75 - 2.3 * drawn - (isOn ? LOAD_A * OHM : 0) + noise;
    const each = Array.from({ length: cells }, () => (volts / 4).toFixed(4));
    const pack = hasPack ? [(volts + (isOn ? apartV : 0)).toFixed(3)] : [];
    return [(i / 10).toFixed(1), ...pack, ...each, (isOn ? LOAD_A + ((i * 7) % 5) / 10 : 0).toFixed(1)].join(",");
  });
  const numbers = Array.from({ length: cells }, (_, cell) => `Cell ${cell + 1} [V]`);
  const header = ["Time [s]", ...(hasPack ? ["Voltage [V]"] : []), ...numbers, "Current [A]"].join(",");
  const facts = { ...FACTS, pack: { ...PACK, series: 4 }, bench: { ...BENCH, sense } };
  const { adjustments, figures } = await evaluateText(`${[header, ...rows].join("\n")}\n`, facts);
  return { figures, said: adjustments.filter(({ kind }) => /cells/.test(kind)) };
}

describe("pack voltage and cell voltages", () => {
  test("cells alone: the sum is taken, and the result says of how many", async () => {
    expect((await said({ hasPack: false })).said).toMatchObject([{ kind: "voltage-from-cells", before: 4 }]);
  });

  test.each([0, 0.03, -0.03])("both, %d V apart: the pack's is taken in silence", async (apartV) => {
    expect((await said({ apartV })).said).toEqual([]);
  });

  // Stated: 0.1 % and 5 mV, once for the pack and once for each cell.
  test.each([0.1, -0.1, 0.5])("both, %d V apart: the result says by how much", async (apartV) => {
    const { said: found, figures } = await said({ apartV });
    expect(found).toMatchObject([{ kind: "cells-contradict-pack", unit: "V" }]);
    const [{ before, after } = { before: null, after: null }] = found;
    expect((after as number) - (before as number)).toBeCloseTo(apartV, 3);
    const taken = figures.find(({ key, load }) => key === "voltage-10s" && load === null);
    const alone = await said({ apartV, cells: 0 });
    expect(taken?.value).toBe(alone.figures.find(({ key, load }) => key === "voltage-10s" && load === null)?.value);
  });

  test("leads whose resistance is declared: what they lose is no contradiction, and one that is declared too large is", async () => {
    const lead = (resistanceMilliohm: number) => ({ point: "lead" as const, resistanceMilliohm });
    expect((await said({ apartV: -0.2, sense: lead(2) })).said).toEqual([]);
    expect((await said({ apartV: -0.2, sense: lead(5) })).said).toMatchObject([{ kind: "cells-contradict-pack" }]);
  });

  test("some cells of a pack are held against nothing", async () => {
    expect((await said({ apartV: 0.5, cells: 3 })).said).toEqual([]);
  });
});
