import { type Chemistry, LOAD_KINDS, type LoadKind } from "../../src/core/model.js";
import type { SimulatedBench } from "../cross-checks/simulator/bench.js";
import { type Distribution, drawExactBench, drawNoisyBench } from "../cross-checks/simulator/noisy-bench.js";
import { drawPack, type Population } from "../cross-checks/simulator/populations.js";
import { type Random, randomOf } from "../cross-checks/simulator/random.js";
import { type LogRequest, type SimulatedLog, simulateLog } from "../cross-checks/simulator/simulate-log.js";
import { sizeLoad } from "../cross-checks/simulator/size-load.js";

export const BENCHES = ["exact", "normal", "rectangular"] as const;
export type BenchErrors = (typeof BENCHES)[number];

/** Which run of a fleet is meant. */
export interface RunName {
  readonly population: Population;
  readonly chemistry: Chemistry;
  readonly errors: BenchErrors;
  readonly name: string;
}

/** Current of the standard load over the bench's own, in four bands from far heavier to far lighter benches. */
const BANDS = [
  [0.72, 0.88],
  [0.88, 1],
  [1, 1.14],
  [1.14, 1.38],
] as const;
/** A pack that gives less of its charge under a load has its cutoff where the voltage hardly falls. */
const MIN_DELIVERED_SHARE = 0.85;
const MAX_DRAWS = 50;

/** The run of that name, always the same. Packs and loads are drawn until both loads get most of the charge out of the pack. */
export function drawRun({ population, chemistry, errors, name }: RunName): SimulatedLog {
  for (let draw = 0; draw < MAX_DRAWS; draw++) {
    const seed = `${population} ${chemistry} ${errors} ${name} ${draw}`;
    const random = randomOf(`run ${seed}`);
    const pack = drawPack(population, chemistry, seed);
    const [least, most] = random.pick<readonly [number, number]>(BANDS);
    const ratio = 1 / random.between(least, most);
    const run = carried(() => {
      const load = sizeLoad(
        pack,
        { kind: random.pick<LoadKind>(LOAD_KINDS), standardA: pack.suitedLoadA, ratio },
        random,
      );
      return { pack, load, bench: drawBench(errors, pack, ratio, random), seed };
    });
    if (run && delivers(run, pack.cell.chargeCoulomb, pack.suitedLoadA)) return run;
  }
  throw new Error(`no run of ${population} ${chemistry} ${name} carries its load`);
}

function drawBench(errors: BenchErrors, pack: LogRequest["pack"], ratio: number, random: Random): SimulatedBench {
  if (errors === "exact") return drawExactBench(random);
  const readings = { volts: pack.facts.series * pack.cell.openCircuitVolts(0), amperes: ratio * pack.suitedLoadA };
  return drawNoisyBench(readings, errors satisfies Distribution, random);
}

/** The run; null when its pack collapses under the load. */
export function carried(request: () => LogRequest): SimulatedLog | null {
  try {
    return simulateLog(request());
  } catch (error) {
    if (error instanceof RangeError) return null;
    throw error;
  }
}

function delivers({ truth }: SimulatedLog, chargeCoulomb: number, standardA: number): boolean {
  const least = (MIN_DELIVERED_SHARE * chargeCoulomb) / 3.6;
  return [truth.own, truth.standard(standardA)].every((figures) => (figures?.capacity ?? 0) >= least);
}
