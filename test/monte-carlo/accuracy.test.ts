import { beforeAll, describe, expect, test } from "@jest/globals";
import { measure } from "../../seed/simulator/bench.js";
import { CELL_VOLTS } from "../../seed/simulator/chemistry.js";
import { type DischargePlan, simulateDischarge } from "../../seed/simulator/discharge.js";
import { createRandom } from "../../seed/simulator/random.js";
import { trueFigures } from "../../seed/simulator/truth.js";
import type { RunFacts } from "../../src/core/evaluate.js";
import { CHEMISTRIES } from "../../src/core/inputs/pack.js";
import type { BenchFacts, Figure } from "../../src/core/model.js";
import { evaluateText } from "../support/evaluated.js";
import { csvOf } from "../support/traces.js";
import { drawDemand, drawPack } from "./population.js";

// The packs are two RC pairs with a temperature; the translation knows nothing of that form. The truth is the same pack, simulated
// under the reference load.
const PACKS_OF_EACH = 12;
const MIN_OFF = 1.2;
const MAX_OFF = 1.25;
const MIN_DELIVERED = 0.85;

interface Translated {
  readonly name: string;
  readonly figure: Figure;
  readonly truth: number;
}

const KEYS = ["power-peak", "power-10s", "power-30s", "capacity"];

/**
 * Run number `seed` of a pack of one chemistry, logged without error under a load 20 to 25 % off the reference; the figures that
 * it gives there. None when the pack does not carry the load, or drew a current out of range at 10 s.
 */
async function translatedRun(chemistry: (typeof CHEMISTRIES)[number], seed: number): Promise<Translated[]> {
  const random = createRandom(1000 * (1 + CHEMISTRIES.indexOf(chemistry)) + 7919 * seed);
  const pack = drawPack(random, chemistry);
  const off = random.between(MIN_OFF, MAX_OFF);
  const share = random.uniform() < 0.5 ? off : 1 / off;
  const ambientC = random.between(17, 30);
  const plan: DischargePlan = {
    pack: pack.model,
    demand: drawDemand(pack, share, random),
    ambientC,
    startC: ambientC,
    chargeMissingC: pack.chargeMissingC,
    restSeconds: 3,
    afterSeconds: 2,
    stepSeconds: 0.01,
    stop: {
      volts: pack.facts.series * (CELL_VOLTS[chemistry].cutoff - 0.05),
      delaySeconds: 0.7,
      latestSeconds: 3600,
    },
  };
  const { own, reference } = trueFigures(plan, pack.facts);
  if ([own, reference].some((figures) => (figures["capacity-share"] ?? 0) < MIN_DELIVERED)) return [];
  const bench: BenchFacts = {
    load: { kind: plan.demand.kind },
    voltage: { percent: 0, offset: 0 },
    current: { percent: 0, offset: 0 },
    temperature: { offset: 0 },
    sense: { point: "pack" },
  };
  const logged = measure(
    simulateDischarge(plan),
    {
      facts: bench,
      rateHz: 20,
      jitterShare: 0,
      noise: { volts: 0, amperes: 0, kelvin: 0 },
      resolution: { volts: 1e-6, amperes: 1e-6, kelvin: 1e-6 },
      errors: { voltageGain: 0, voltageOffsetV: 0, currentGain: 0, temperatureOffsetK: 0 },
    },
    { currentZeroA: 0, cellImbalance: [] },
    random,
  );
  const log = csvOf({
    time: Float64Array.from(logged.timeSeconds),
    voltage: Float64Array.from(logged.voltage),
    current: Float64Array.from(logged.current),
    temperature: null,
  });
  const conditions = { ambientC, restMinutes: 30, cycles: 3, setpointA: null };
  const facts: RunFacts = { pack: pack.facts, bench, conditions };
  const evaluation = await evaluateText(log, facts);
  return KEYS.flatMap((key) => {
    const figure = evaluation.figures.find(
      (one) => one.key === key && one.basis === "translated" && one.bound === "none",
    );
    if (!figure) return [];
    return [
      {
        name: `${chemistry} ${seed} ${plan.demand.kind} x ${share.toFixed(2)} ${key}`,
        figure,
        truth: reference[key] as number,
      },
    ];
  });
}

describe("a run of a pack with two relaxations under any kind of load, 20 to 25 % off the reference, translated to it", () => {
  const all: Translated[] = [];
  beforeAll(async () => {
    for (const chemistry of CHEMISTRIES) {
      for (let seed = 1; seed <= PACKS_OF_EACH; seed++) all.push(...(await translatedRun(chemistry, seed)));
    }
  });
  const of = (key: string) => all.filter(({ figure }) => figure.key === key);
  const off = ({ figure, truth }: Translated) => Math.abs(figure.value / truth - 1);

  test.each(KEYS)("%s is within 1 %% of the same pack under the reference load, mostly within 0.5 %%", (key) => {
    expect(of(key).length).toBeGreaterThan(2 * PACKS_OF_EACH);
    expect(
      of(key)
        .filter((one) => off(one) > 0.01)
        .map(({ name }) => name),
    ).toEqual([]);
    expect(of(key).filter((one) => off(one) > 0.005).length).toBeLessThan(0.1 * of(key).length);
  });

  // No instrument errs here: what is left of U is the translation's own.
  test("U covers the error in at least 90 of 100 figures", () => {
    const outside = all.filter(({ figure, truth }) => Math.abs(figure.value - truth) > 2 * figure.uncertainty);
    expect(outside.length).toBeLessThan(0.1 * all.length);
  });
});
