import { measure } from "../../seed/simulator/bench.js";
import { CELL_VOLTS } from "../../seed/simulator/chemistry.js";
import { type DischargePlan, simulateDischarge } from "../../seed/simulator/discharge.js";
import { createRandom, type Random } from "../../seed/simulator/random.js";
import { type Truth, trueFigures } from "../../seed/simulator/truth.js";
import type { RunFacts } from "../../src/core/evaluate.js";
import { csvOf } from "../support/traces.js";
import { type Distribution, drawBench } from "./honest-bench.js";
import { type DrawnPack, drawDemand, drawPack, spread } from "./population.js";

/** A run that was simulated: its log as a tester would upload it, and what is true of it. */
export interface SimulatedRun {
  readonly log: string;
  readonly facts: RunFacts;
  readonly truth: Truth;
}

/** Shares of the reference load's current that a run may draw: the range of the protocol, with room for the bench's errors. */
const LOAD_SHARE = [1 / 1.33, 1 / 0.74] as const;
/** Log and truth are read off the same solution; what a finer one would change stands in simulated-run.test.ts. */
const STEP_SECONDS = 0.025;
/** Every so many-th run is stopped just above the cutoff, and every so many-th log begins just before the load. */
const STOPPED_SHORT_SHARE = 0.15;
const SHORT_REST_SHARE = 0.15;

/** Run number `seed` of the population. The same number gives the same run. */
export function simulateRun(seed: number, errors: Distribution, stepSeconds = STEP_SECONDS): SimulatedRun {
  const random = createRandom(scattered(seed));
  let run = drawRun(random, errors, stepSeconds);
  while (!carriesItsLoad(run.truth)) run = drawRun(random, errors, stepSeconds);
  return run;
}

/** Numbers in a row start the generator at places that have nothing to do with each other. */
function scattered(seed: number): number {
  let mixed = Math.imul(seed ^ (seed >>> 16), 0x45d9f3b);
  mixed = Math.imul(mixed ^ (mixed >>> 16), 0x45d9f3b);
  return 1 + ((mixed ^ (mixed >>> 16)) >>> 1);
}

/** A pack that gives less has its cutoff where its voltage hardly falls, and no capacity to speak of under that load. */
const MIN_CAPACITY_SHARE = 0.85;

function carriesItsLoad({ own, reference }: Truth): boolean {
  return [own, reference].every((figures) => (figures["capacity-share"] ?? 0) >= MIN_CAPACITY_SHARE);
}

function drawRun(random: Random, errors: Distribution, stepSeconds: number): SimulatedRun {
  const pack = drawPack(random);
  const { series, chemistry } = pack.facts;
  const ended = drawPlan(pack, spread(...LOAD_SHARE, random), { random, stepSeconds });
  const stoppedShort = random.uniform() < STOPPED_SHORT_SHARE;
  const shortVolts = series * (CELL_VOLTS[chemistry].cutoff + random.between(0.002, 0.018));
  const plan = stoppedShort ? { ...ended, stop: { ...ended.stop, volts: shortVolts, delaySeconds: 0 } } : ended;
  const discharge = simulateDischarge(plan);
  const amperes = discharge.current[Math.round((plan.restSeconds + 10) / stepSeconds)] as number;
  const bench = drawBench(plan.demand.kind, amperes, errors, random);
  const logged = measure(discharge, bench.real, { currentZeroA: bench.currentZeroA, cellImbalance: [] }, random);
  const conditions = { ambientC: plan.ambientC, restMinutes: 30, cycles: 10, setpointA: null };
  return {
    log: csvOf({
      time: Float64Array.from(logged.timeSeconds, (t) => Math.round(1000 * t) / 1000),
      voltage: Float64Array.from(logged.voltage),
      current: Float64Array.from(logged.current),
      temperature: logged.temperature && Float64Array.from(logged.temperature),
    }),
    facts: { pack: pack.facts, bench: bench.stated, conditions },
    truth: trueFigures(ended, pack.facts),
  };
}

/** A run to below the cutoff. */
function drawPlan(
  pack: DrawnPack,
  share: number,
  { random, stepSeconds }: { readonly random: Random; readonly stepSeconds: number },
): DischargePlan {
  const ambientC = random.between(17, 30);
  return {
    pack: pack.model,
    demand: drawDemand(pack, share, random),
    ambientC,
    startC: ambientC + random.between(-1, 3),
    chargeMissingC: pack.chargeMissingC,
    restSeconds: random.uniform() < SHORT_REST_SHARE ? random.between(0.7, 1) : random.between(2, 6),
    stop: {
      volts: pack.facts.series * (CELL_VOLTS[pack.facts.chemistry].cutoff - random.between(0.03, 0.06)),
      delaySeconds: random.between(0.6, 1),
      latestSeconds: 3600,
    },
    afterSeconds: random.between(2, 4),
    stepSeconds,
  };
}
