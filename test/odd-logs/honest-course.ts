import { type BenchModel, drawInstrumentErrors, measure } from "../../seed/simulator/bench.js";
import { CELL_VOLTS } from "../../seed/simulator/chemistry.js";
import type { Demand } from "../../seed/simulator/demand.js";
import { type DischargePlan, simulateDischarge } from "../../seed/simulator/discharge.js";
import { createRandom, type Random } from "../../seed/simulator/random.js";
import { figuresOf, type TrueFigures } from "../../seed/simulator/truth.js";
import type { RunFacts } from "../../src/core/evaluate.js";
import type { BenchFacts } from "../../src/core/model.js";
import { type DrawnPack, drawDemand, drawPack, spread } from "../monte-carlo/population.js";

/** What a kind of odd log asks of the run itself; the rest is drawn. */
export interface CourseNeeds {
  readonly rateHz?: number;
  readonly series?: number;
  readonly restSeconds?: number;
  readonly afterSeconds?: number;
  /** The load must not hold its current. */
  readonly variesCurrent?: boolean;
  readonly stepSeconds?: number;
}

/** One sample as instruments read it: s from the beginning of the log, V, A and degC. */
export interface Reading {
  readonly s: number;
  readonly V: number;
  readonly A: number;
  readonly degC: number;
}

/** One honest run of a full load: what its instruments read, and what is true. */
export interface HonestCourse {
  readonly readings: readonly Reading[];
  readonly facts: RunFacts;
  readonly truth: TrueFigures;
}

/** Half-widths of what a bench states: shares of the reading, and of the full voltage and the largest current. */
const VOLTAGE_PERCENT = 0.2;
const CURRENT_PERCENT = 0.5;
const VOLTAGE_OFFSET_SHARE = 0.0005;
const CURRENT_OFFSET_SHARE = 0.002;
const CLOCK_SHARE = 0.001;

/** Run number `seed`, always the same; every instrument errs anywhere within what is stated, the clock within 0.1 %. */
export function honestCourse(seed: number, needs: CourseNeeds = {}): HonestCourse {
  const random = createRandom(1 + 15_485_863 * seed);
  const drawn = drawPack(random);
  const pack = needs.series === undefined ? drawn : withSeries(drawn, needs.series);
  const plan = planOf(pack, needs, random);
  const discharge = simulateDischarge(plan);
  const bench = benchOf(pack, plan, discharge.current, needs, random);
  const currentZeroA = random.between(-1, 1) * bench.facts.current.offset;
  const clock = 1 + random.between(-CLOCK_SHARE, CLOCK_SHARE);
  const { timeSeconds, voltage, current, temperature } = measure(
    discharge,
    bench,
    { currentZeroA, cellImbalance: [] },
    random,
  );
  const readings = timeSeconds.map((t, i) => ({
    s: t * clock,
    V: voltage[i] as number,
    A: current[i] as number,
    degC: temperature?.[i] as number,
  }));
  const conditions = { ambientC: plan.ambientC, restMinutes: 60, cycles: 10, setpointA: null };
  return {
    readings,
    facts: { pack: pack.facts, bench: bench.facts, conditions },
    truth: figuresOf(discharge, pack.facts),
  };
}

/** What a share of the readings of a run stay up to. */
export function extremeOf({ readings }: HonestCourse, pick: (reading: Reading) => number, share: number): number {
  const sorted = readings.map(pick).sort((a, b) => a - b);
  return sorted[Math.floor(share * (sorted.length - 1))] as number;
}

/** The same cells, so many of them in series. */
function withSeries(pack: DrawnPack, series: number): DrawnPack {
  const { facts, model } = pack;
  const times = series / facts.series;
  return {
    ...pack,
    settledOhm: times * pack.settledOhm,
    facts: { ...facts, series, massGrams: Math.round(times * (facts.massGrams ?? 0)) },
    model: {
      ...model,
      openCircuitVolts: (charge) => times * model.openCircuitVolts(charge),
      seriesOhm: times * model.seriesOhm,
      branches: model.branches.map(({ ohm, farad }) => ({ ohm: times * ohm, farad: farad / times })),
      heatCapacityJPerK: times * model.heatCapacityJPerK,
      heatLossWPerK: times * model.heatLossWPerK,
    },
  };
}

function planOf(pack: DrawnPack, needs: CourseNeeds, random: Random): DischargePlan {
  const { chemistry, series } = pack.facts;
  const ambientC = random.between(17, 24);
  return {
    pack: pack.model,
    demand: demandOf(pack, needs, random),
    ambientC,
    startC: ambientC,
    chargeMissingC: pack.chargeMissingC,
    restSeconds: needs.restSeconds ?? random.between(3, 8),
    stop: {
      volts: series * (CELL_VOLTS[chemistry].cutoff - 0.03),
      delaySeconds: random.between(0.6, 1),
      latestSeconds: 3600,
    },
    afterSeconds: needs.afterSeconds ?? random.between(6, 12),
    stepSeconds: needs.stepSeconds ?? 0.01,
  };
}

function demandOf(pack: DrawnPack, { variesCurrent }: CourseNeeds, random: Random): Demand {
  const demand = drawDemand(pack, random.between(0.3, 0.8), random);
  return variesCurrent && demand.kind === "constant-current" ? demandOf(pack, { variesCurrent }, random) : demand;
}

function benchOf(
  { facts: { chemistry, series } }: DrawnPack,
  { demand }: DischargePlan,
  current: Float64Array,
  { rateHz }: CourseNeeds,
  random: Random,
): BenchModel {
  const fullVolts = series * CELL_VOLTS[chemistry].full;
  const largestA = current.reduce((most, amperes) => Math.max(most, amperes), 0);
  const facts: BenchFacts = {
    load: { kind: demand.kind },
    voltage: { percent: VOLTAGE_PERCENT, offset: VOLTAGE_OFFSET_SHARE * fullVolts },
    current: { percent: CURRENT_PERCENT, offset: CURRENT_OFFSET_SHARE * largestA },
    temperature: { offset: 1 },
    sense: { point: "pack" },
  };
  return {
    facts,
    rateHz: rateHz ?? spread(5.2, 30, random),
    jitterShare: random.uniform() < 0.5 ? 0 : random.between(0, 0.05),
    noise: {
      volts: fullVolts * spread(0.0001, 0.001, random),
      amperes: largestA * spread(0.001, 0.003, random),
      kelvin: 0.05,
    },
    resolution: { volts: 0.001, amperes: 0.01, kelvin: 0.1 },
    errors: drawInstrumentErrors(facts, 1, random),
  };
}
