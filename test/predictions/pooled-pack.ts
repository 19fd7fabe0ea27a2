import type { Chemistry, Trace } from "../../src/core/model.js";
import { median } from "../../src/core/statistics/median.js";
import type { PackRun, PooledPack } from "../../src/core/use/model/pack-run.js";
import { runGrid } from "../../src/core/use/model/run-grid.js";
import { type BenchLog, logCourse, type SimulatedBench } from "../cross-checks/simulator/bench.js";
import { CELL_VOLTS } from "../cross-checks/simulator/cell-volts.js";
import { type Course, simulateDischarge } from "../cross-checks/simulator/discharge.js";
import { constantCurrent, type LoadLaw, resistance, standardLoadOhm } from "../cross-checks/simulator/load.js";
import { drawNoisyBench } from "../cross-checks/simulator/noisy-bench.js";
import type { SimulatedPack } from "../cross-checks/simulator/pack.js";
import { drawPack, type Population } from "../cross-checks/simulator/populations.js";
import { type Random, randomOf } from "../cross-checks/simulator/random.js";

/** A load as a share of the one that suits the pack. */
export interface PlannedRun {
  readonly kind: "full-load" | "step";
  readonly share: number;
  readonly tester: number;
}

/** Three testers, each with a full load and a step: what an established pack has. */
export const THREE_TESTERS: readonly PlannedRun[] = [
  { kind: "full-load", share: 1, tester: 0 },
  { kind: "step", share: 0.35, tester: 0 },
  { kind: "full-load", share: 0.85, tester: 1 },
  { kind: "step", share: 0.25, tester: 1 },
  { kind: "full-load", share: 1.1, tester: 2 },
  { kind: "step", share: 0.6, tester: 2 },
];

export interface SimulatedRecord {
  /** The pack that all specimens scatter about. */
  readonly pack: SimulatedPack;
  readonly specimens: readonly SimulatedPack[];
  readonly facts: PooledPack;
  readonly runs: readonly PackRun[];
}

/** Spread among specimens: relative standard deviations of capacity and resistance (common practice). */
const SPREAD = { capacity: 0.015, resistance: 0.05 };

/** The same pack with another capacity and resistance. */
export function specimenOf(pack: SimulatedPack, capacity: number, resistance: number): SimulatedPack {
  const { cell } = pack;
  return {
    ...pack,
    cell: {
      ...cell,
      chargeCoulomb: cell.chargeCoulomb * capacity,
      seriesOhm: cell.seriesOhm * resistance,
      relaxations: cell.relaxations.map(({ ohm, seconds }) => ({ ohm: ohm * resistance, seconds })),
      transfer: cell.transfer && { ...cell.transfer, amperes: cell.transfer.amperes / resistance },
    },
  };
}

export const drawSpecimen = (pack: SimulatedPack, random: Random): SimulatedPack =>
  specimenOf(pack, 1 + SPREAD.capacity * random.normal(), 1 + SPREAD.resistance * random.normal());

/** The runs of several testers, each with a specimen and a bench that errs, of one pack of another form than the model's. */
export function simulateRecord(
  population: Population,
  chemistry: Chemistry,
  name: string,
  plans: readonly PlannedRun[],
): SimulatedRecord {
  const pack = drawPack(population, chemistry, name);
  const { series, ratedCapacityMah, massGrams } = pack.facts;
  const testers = 1 + Math.max(...plans.map(({ tester }) => tester));
  const random = randomOf(`record ${population} ${chemistry} ${name}`);
  const volts = series * 3.7;
  const owners = Array.from({ length: testers }, () => ({
    specimen: drawSpecimen(pack, random),
    bench: drawNoisyBench({ volts, amperes: pack.suitedLoadA }, "normal", random),
  }));
  const runs = plans.flatMap(({ kind, share, tester }, n) => {
    const owner = owners[tester] as (typeof owners)[number];
    const amperes = share * pack.suitedLoadA;
    const load = kind === "step" ? constantCurrent(0.95 * amperes) : resistance(standardLoadOhm(series, amperes));
    const run = simulateRun(owner.specimen, load, owner.bench, random);
    return run === null
      ? []
      : [{ ...run, id: `run ${n}`, specimenId: `specimen ${tester}`, testerId: `tester ${tester}` }];
  });
  return {
    pack,
    specimens: owners.map(({ specimen }) => specimen),
    facts: { chemistry, series, ratedCapacityMah, massGrams },
    runs,
  };
}

/** One run of a specimen to the cutoff; null where it does not carry the load. */
export function simulateRun(
  pack: SimulatedPack,
  load: LoadLaw,
  bench: SimulatedBench,
  random: Random,
): Omit<PackRun, "id" | "specimenId" | "testerId"> | null {
  const ambientC = random.between(18, 28);
  const { series, chemistry } = pack.facts;
  const course = carried(() =>
    simulateDischarge({
      pack,
      load,
      startC: ambientC + random.between(-1, 2),
      ambientC,
      restSeconds: bench.restSeconds,
      rampSeconds: bench.rampSeconds,
      stop: {
        volts: series * (CELL_VOLTS[chemistry].cutoff - bench.belowCutoffVolts),
        holdSeconds: 0.5,
        latestSeconds: 6 * 3600,
      },
      afterSeconds: bench.afterSeconds,
    }),
  );
  if (course === null) return null;
  const log = logCourse(course, bench, random);
  const onset = bench.restSeconds + bench.rampSeconds / 2;
  const trace = traceOf(log, onset, bench.restSeconds);
  const grid = runGrid(trace, course.offSeconds - bench.rampSeconds / 2 - 1 / bench.rateHz, series);
  return grid && { grid, ambientC, cycles: null, reachedCutoff: true, drawnBefore: null };
}

export function carried(simulate: () => Course): Course | null {
  try {
    return simulate();
  } catch (error) {
    if (error instanceof RangeError) return null;
    throw error;
  }
}

/** What normalisation makes of a log: time from onset, and the current without the offset that its rest shows. */
function traceOf({ time, voltage, current, temperature }: BenchLog, onset: number, restSeconds: number): Trace {
  const zero = median(current.filter((_, k) => (time[k] as number) < restSeconds - 0.1));
  return {
    time: Float64Array.from(time, (t) => t - onset),
    voltage: Float64Array.from(voltage),
    current: Float64Array.from(current, (amperes) => amperes - zero),
    temperature: temperature && Float64Array.from(temperature),
  };
}
