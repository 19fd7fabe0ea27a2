import { describe, expect, test } from "@jest/globals";
import fc from "fast-check";
import { EXACT_BENCH } from "../../../test/cross-checks/simulator/bench.js";
import { resistance, standardLoadOhm } from "../../../test/cross-checks/simulator/load.js";
import { drawPack } from "../../../test/cross-checks/simulator/populations.js";
import { simulateLog } from "../../../test/cross-checks/simulator/simulate-log.js";
import { evaluateText, figureKeys, figureOf, loadsOf } from "../../../test/support/evaluated.js";
import type { Evaluation } from "../model.js";

const PACK = drawPack("B", "lipo", "translated figures");
const { series } = PACK.facts;
const standardA = PACK.suitedLoadA;

function simulated(ohm: number, bench: Partial<typeof EXACT_BENCH> = {}) {
  const stated = {
    ...EXACT_BENCH.stated,
    voltage: { percent: 0.1, offset: 0.005 },
    current: { percent: 0.5, offset: 0.1 },
  };
  return simulateLog({
    pack: PACK,
    load: resistance(ohm),
    bench: { ...EXACT_BENCH, stated, ...bench },
    seed: "translated figures",
    ambientC: 22,
    startC: 22,
  });
}
const run = simulated(1.07 * standardLoadOhm(series, standardA));
const evaluation = evaluateText(run.csv, run.facts);
const translated = ({ figures }: Evaluation) => figures.filter(({ basis }) => basis === "translated");

describe("what is typed on a pack's label decides nothing that is translated", () => {
  test("any rated capacity, C label and count in parallel give the same translated figures, bit for bit", async () => {
    const expected = JSON.stringify(translated(await evaluation));
    const labels = fc.record({
      ratedCapacityMah: fc.integer({ min: 100, max: 50_000 }),
      labelContinuousC: fc.option(fc.integer({ min: 1, max: 300 })),
      labelBurstC: fc.option(fc.integer({ min: 1, max: 500 })),
      parallel: fc.integer({ min: 1, max: 10 }),
    });
    await fc.assert(
      fc.asyncProperty(labels, async (label) => {
        const facts = { ...run.facts, pack: { ...run.facts.pack, ...label } };
        expect(JSON.stringify(translated(await evaluateText(run.csv, facts)))).toBe(expected);
      }),
      { numRuns: 8 },
    );
  });
});

describe("a run is translated to each standard load within 0.7 to 1.4 times its own current", () => {
  test("about three, the nearest first within 14 %", async () => {
    const found = await evaluation;
    const own = figureOf(found, "current-10s").value;
    const loads = loadsOf(found);
    expect(loads).toContain(standardA);
    expect([2, 3, 4]).toContain(loads.length);
    for (const load of loads) {
      const ratio = figureOf(found, "current-10s", load).value / own;
      expect([load, ratio > 0.69 && ratio < 1.41]).toEqual([load, true]);
    }
    const nearest = figureOf(found, "current-10s", loads[0] as number).value / own;
    expect(Math.abs(Math.log(nearest))).toBeLessThan(Math.log(1.14));
    expect(found.findings.find(({ rule }) => rule === "standard-load")?.observed).toBeCloseTo(nearest, 2);
  });

  test("and its figures there are true within U", async () => {
    const found = await evaluation;
    for (const load of loadsOf(found)) {
      const truth = run.truth.standard(load);
      for (const key of ["power-peak", "power-10s", "power-30s", "capacity", "energy"]) {
        const { value, uncertainty } = figureOf(found, key, load);
        expect([load, key, Math.abs(value - (truth?.[key] as number)) <= 2 * uncertainty]).toEqual([load, key, true]);
      }
    }
  });

  test("without what the cutoff fixes there, the pack's temperature, and what is held against the label", async () => {
    const keys = figureKeys(await evaluation, standardA);
    expect(keys.filter((key) => /cutoff|temperature|time-to-limit|capacity-share|times-it/.test(key))).toEqual([]);
    expect(keys).toEqual(expect.arrayContaining(["power-10s", "capacity", "resistance-10s", "hold-30s"]));
  });
});

test("the parts of a translated figure's uncertainty make it up, and what testers share has one sign on each side of a load", async () => {
  const found = await evaluation;
  for (const { uncertainty, shared, load } of found.figures) {
    if (load === null) {
      expect(shared).toBeNull();
      continue;
    }
    if (!shared) throw new Error("a translated figure says nothing of what testers share");
    const { own, kinetics, resistance: ohmic, form } = shared;
    expect(Math.hypot(own, kinetics, ohmic, form) / uncertainty).toBeCloseTo(1, 9);
    expect([kinetics * ohmic >= 0, form >= 0]).toEqual([true, true]);
  }
  const own = figureOf(found, "current-10s").value;
  for (const load of loadsOf(found)) {
    // A lighter load was measured by a heavier bench: less resistance than assumed makes the figure there smaller.
    const lighter = figureOf(found, "current-10s", load).value < own;
    expect(Math.sign(figureOf(found, "power-10s", load).shared?.kinetics ?? 0)).toBe(lighter ? -1 : 1);
  }
});

describe("the standard load comes on at once, whatever the bench's switch", () => {
  test.each(["power-peak", "hold-30s"])("%s does not change with the rise of the run's load", async (key) => {
    const found = await Promise.all(
      [0.02, 0.3, 0.9].map(async (rampSeconds) => {
        const slow = simulated(1.07 * standardLoadOhm(series, standardA), { rampSeconds });
        return figureOf(await evaluateText(slow.csv, slow.facts), key, standardA).value;
      }),
    );
    for (const value of found) expect(Math.abs(value / (found[0] as number) - 1)).toBeLessThan(0.001);
  });
});

describe("a log that ends with its last sample under load", () => {
  // 20,000 samples are translated as they are, longer logs by the means of neighbours.
  test.each([20_000, 20_001, 100_000])("of %d samples is translated as any other", async (samples) => {
    const short = await evaluation;
    const durationS = figureOf(short, "runtime").value + 4.05;
    const rateHz = Math.ceil(samples / durationS) + 1;
    const long = simulated(1.07 * standardLoadOhm(series, standardA), { rateHz, afterSeconds: 0 });
    const lines = long.csv.trimEnd().split("\n");
    const last = lines.findLastIndex((line) => Number(line.split(",")[2]) > 1);
    const kept = [lines[0], ...lines.slice(last + 1 - samples, last + 1)];
    const found = await evaluateText(kept.join("\n"), long.facts);
    expect([found.trace.samples, found.trace.stop]).toEqual([samples, "cutoff"]);
    expect(loadsOf(found)).toEqual(loadsOf(short));
    expect(found.findings.find(({ rule }) => rule === "standard-load")?.outcome).toBe("pass");
    for (const key of ["power-10s", "capacity", "energy"]) {
      const { value, uncertainty } = figureOf(found, key, standardA);
      expect([key, Math.abs(value / figureOf(short, key, standardA).value - 1) < 0.003]).toEqual([key, true]);
      expect(uncertainty).toBeGreaterThan(0);
    }
  });
});
