import { describe, expect, test } from "@jest/globals";
import { EXACT_BENCH } from "../../../test/cross-checks/simulator/bench.js";
import { resistance, standardLoadOhm } from "../../../test/cross-checks/simulator/load.js";
import { drawPack } from "../../../test/cross-checks/simulator/populations.js";
import { simulateLog } from "../../../test/cross-checks/simulator/simulate-log.js";
import { readLog } from "../channels/read-log.js";
import { FULL_LOAD_1 } from "../protocol/documents/full-load-1.js";
import { translationOf } from "../protocol/load.js";
import { normalise } from "../trace/normalise.js";
import { findStop } from "../trace/stop.js";
import { EXTENSION_SHARE } from "../translation/model-form.js";
import { kineticsMoved, resistanceMoved } from "../translation/moved-models.js";
import { cutoffUncertainty } from "../uncertainty/instants.js";
import { noiseOf } from "../uncertainty/noise.js";
import { sourcesOf } from "../uncertainty/sources.js";
import { FIGURES, figuresNamed } from "./catalogue.js";
import { type EvaluationInput, readInput, readTranslated, type TranslatedReads } from "./evaluation-input.js";
import type { FigureFormula } from "./formula.js";
import { figureValue, movedPart } from "./parts.js";
import { figuresOf } from "./with-uncertainty.js";

const PERCENT = { voltage: 0.1, current: 0.5 };

/** A run of a simulated pack as the pipeline has it before its figures. */
async function runOf(population: "A" | "B" | "C", chemistry: "lipo" | "lihv" | "liion" | "lifepo4", seed: string) {
  const pack = drawPack(population, chemistry, seed);
  const { series } = pack.facts;
  const stated = {
    ...EXACT_BENCH.stated,
    voltage: { percent: PERCENT.voltage, offset: 0.005 },
    current: { percent: PERCENT.current, offset: 0.1 },
  };
  const load = resistance(1.07 * standardLoadOhm(series, pack.suitedLoadA));
  const { csv, facts } = simulateLog({
    pack,
    load,
    bench: { ...EXACT_BENCH, stated, rateHz: 10 },
    seed,
    ambientC: 22,
    startC: 22,
  });
  const limits = {
    cutoffVolts: series * (FULL_LOAD_1.cells[chemistry].cutoff ?? 0),
    series,
    temperatureLimitC: FULL_LOAD_1.temperatureLimitC,
    endingProbeK: null,
  };
  const read = await readLog([Buffer.from(csv)], 2 ** 30, facts);
  const run = normalise(read.channels, facts.pack, facts.bench, limits);
  const input: EvaluationInput = {
    trace: run.trace,
    rest: run.rest,
    startTemperatureC: run.startTemperatureC,
    loadCurrentA: run.loadCurrentA,
    limits,
    cutoffShiftS: 0,
    translation: translationOf(FULL_LOAD_1, facts.pack),
    pulses: null,
    pulseShiftS: 0,
  };
  return { run, input, reads: readInput(input, run.stop), facts };
}

type SimulatedRun = Awaited<ReturnType<typeof runOf>>;

/** What each source of uncertainty leaves in a figure, by fitting and translating the whole run again for each: on all of its samples. */
function repeatedParts({ run, input, reads, facts }: SimulatedRun) {
  const loads = reads.translated.map(({ load }) => load);
  const noise = noiseOf(input.trace, run.stop.endS, run.summary.rateHz, run.senseOhm, run.summed);
  const cutoffS = cutoffUncertainty(input.trace, reads.stop.cutoffS, noise, input.limits.cutoffVolts);
  const readAgain = (perturbed: EvaluationInput) =>
    readInput(perturbed, findStop(perturbed.trace, perturbed.loadCurrentA, perturbed.limits), { loads }).translated;
  const sources = sourcesOf(input, run, facts.bench, { noise, cutoffS })
    .filter(({ ownOnly }) => !ownOnly)
    .map(({ name, move }) => ({ name, up: readAgain(move(1)), down: readAgain(move(-1)) }));
  const { model } = reads;
  if (!model) throw new Error("the run has no model");
  const kinetics = readTranslated(input, model, loads, { state: kineticsMoved(model) });
  const resistances = resistanceMoved(model).map((state) => readTranslated(input, model, loads, { state }));
  const extended = readTranslated(input, model, loads, { extension: 1 + EXTENSION_SHARE });
  return (formula: FigureFormula, load: number): ReadonlyMap<string, number> => {
    const at = (all: readonly TranslatedReads[]) =>
      figureValue(formula, all.find((one) => one.load === load)?.reads ?? null, facts.pack);
    const best = at(reads.translated);
    const off = (all: readonly TranslatedReads[]) => Math.abs((at(all) ?? Number.NaN) - (best ?? Number.NaN));
    return new Map([
      ...sources.map(({ name, up, down }) => [name, movedPart(at(up), at(down), best)] as const),
      ["kinetics", off(kinetics)],
      ["source resistance", Math.hypot(...resistances.map(off))],
      ["extension", off(extended)],
    ]);
  };
}

describe("uncertainties under standard loads are those of the whole run fitted and translated again for every source", () => {
  test.each([
    ["A", "lipo", "s1"],
    ["B", "lihv", "s3"],
    ["C", "lifepo4", "s2"],
    ["C", "liion", "s1"],
  ] as const)("of a pack of population %s, %s", async (population, chemistry, seed) => {
    const simulated = await runOf(population, chemistry, seed);
    const { run, input, reads, facts } = simulated;
    const repeated = repeatedParts(simulated);
    const figures = figuresOf(input, reads, run, facts.pack, facts.bench, figuresNamed(FULL_LOAD_1.figures));
    const departures = figures.flatMap(({ key, load, uncertainty, budget }) => {
      const formula = FIGURES.find((one) => one.key === key);
      if (load === null || !formula) return [];
      const parts = repeated(formula, load);
      const others = budget.filter(({ source }) => !parts.has(source)).map((part) => part.uncertainty);
      return [
        { figure: `${key} at ${load} A`, by: Math.abs(uncertainty / Math.hypot(...others, ...parts.values()) - 1) },
      ];
    });
    departures.sort((a, b) => a.by - b.by);
    expect(departures.length).toBeGreaterThan(30);
    expect(departures[departures.length >> 1]?.by).toBeLessThan(MEDIAN);
    expect(departures.filter(({ by }) => by > MOST)).toEqual([]);
  });
});

/** Departures of an uncertainty, as shares of it. */
const MEDIAN = 0.005;
const MOST = 0.03;
