import type { LoadKind } from "../../src/core/model.js";
import { LAYOUTS, type LayoutName } from "../layouts/index.js";
import { type BenchLog, drawInstrumentErrors, measure } from "../simulator/bench.js";
import { CELL_VOLTS } from "../simulator/chemistry.js";
import type { Demand } from "../simulator/demand.js";
import { type DischargePlan, simulateDischarge } from "../simulator/discharge.js";
import { createPackModel } from "../simulator/pack-model.js";
import { createRandom, type Random } from "../simulator/random.js";
import { BENCHES, type BenchKey, type ScenarioBench } from "./benches.js";
import { passedOff } from "./copied-log.js";
import { COURSES } from "./courses.js";
import { PACKS, type PackKey, type ScenarioPack } from "./packs.js";
import { RUNS, type ScenarioRun } from "./runs.js";

/** The one number that all of the demo's logs follow from. */
const DEMO_SEED = 20_260;

/** A log file with what its tester declares about the run. */
export interface ProducedRun {
  readonly fileName: string;
  readonly mediaType: string;
  readonly log: Uint8Array;
  readonly startedAt: string;
  readonly ambientC: number;
  readonly restMinutes: number;
  readonly cycles: number;
  readonly setpointA: number | null;
  readonly stateOfChargePercent?: number;
}

/** Share of the charge that a charger leaves out; the last percents of LiFePO4 hold little charge but much voltage. */
const MISSING_SHARE = { lipo: 0.012, lihv: 0.01, liion: 0.012, lifepo4: 0.0015 } as const;

/** Streams of random numbers that do not depend on each other: one for each bench, specimen and run. */
const stream = (family: number, index: number) => createRandom(DEMO_SEED + 1000 * family + index);
const indexIn = (record: object, key: string) => Object.keys(record).indexOf(key);
const runIndex = (run: ScenarioRun) => RUNS.findIndex(({ key }) => key === run.key);

function specimenModel(run: ScenarioRun) {
  const facts: ScenarioPack = PACKS[run.pack];
  const random = stream(2 + indexIn(PACKS, run.pack), 1 + indexIn(BENCHES, run.tester));
  const capacityFactor = 1 + 0.004 * random.gaussian() - 0.0001 * run.cycles;
  const resistanceFactor = (1 + 0.02 * random.gaussian() + 0.0005 * run.cycles) * (run.fault.wear ?? 1);
  const trueCapacityAh = (facts.ratedCapacityMah / 1000) * facts.trueCapacityShare * capacityFactor;
  const resistanceMilliohmAh = facts.resistanceMilliohmAh * resistanceFactor;
  const { chemistry, series, massGrams } = facts;
  return {
    trueCapacityAh,
    model: createPackModel({ chemistry, series, trueCapacityAh, resistanceMilliohmAh, massGrams }),
  };
}

const isResistance = (kind: LoadKind) => kind === "throttle" || kind === "constant-resistance";

/** ohm, A or W of a load of `loadIt` times It at the nominal voltage. */
function levelOf(pack: PackKey, bench: BenchKey, loadIt: number): number {
  const { series, chemistry, ratedCapacityMah } = PACKS[pack];
  const nominalVolts = series * CELL_VOLTS[chemistry].nominal;
  const amperes = (loadIt * ratedCapacityMah) / 1000;
  const levels = {
    throttle: nominalVolts / amperes,
    "constant-resistance": nominalVolts / amperes,
    "constant-current": amperes,
    "constant-power": nominalVolts * amperes,
  };
  return levels[BENCHES[bench].facts.load.kind];
}

/** The discharge of a run, before it is measured. */
export function planOf(run: ScenarioRun): DischargePlan {
  return drawPlan(run, stream(40, 1 + runIndex(run)));
}

function drawPlan(run: ScenarioRun, random: Random): DischargePlan {
  const { series, chemistry } = PACKS[run.pack];
  const { trueCapacityAh, model } = specimenModel(run);
  const missingShare = run.fault.missingShare ?? random.between(0, MISSING_SHARE[chemistry]);
  const riseSeconds = run.fault.riseSeconds ?? BENCHES[run.bench].riseSeconds * random.between(0.9, 1.1);
  const course = COURSES[run.protocol];
  const cutoffVolts = course.cutoffVoltsPerCell ?? CELL_VOLTS[chemistry].cutoff;
  const stopVoltsPerCell = run.fault.stopVoltsPerCell ?? cutoffVolts - random.between(0.03, 0.08);
  const level = levelOf(run.pack, run.bench, run.loadIt);
  const { kind } = BENCHES[run.bench].facts.load;
  return {
    pack: model,
    demand: { kind, level, riseSeconds, ...course.steps(level), ...easing(run, kind, level) },
    ambientC: run.ambientC,
    startC: run.fault.startC ?? run.ambientC + random.between(0, 1.5),
    chargeMissingC: (course.missingShare ?? missingShare) * trueCapacityAh * 3600,
    restSeconds: random.between(3, 6) * course.timeFactor,
    stop: {
      volts: series * stopVoltsPerCell,
      ...course.stop,
      delaySeconds: random.between(0.6, 1.2),
    },
    afterSeconds: BENCHES[run.bench].afterSeconds * random.between(1, 1.5) * course.timeFactor,
    ...course.simulation,
  };
}

/** A load that is eased on the way, and then asks for as much as before. */
function easing({ fault: { eased } }: ScenarioRun, kind: LoadKind, level: number): Pick<Demand, "steps"> {
  if (eased === undefined) return {};
  const { fromSeconds, toSeconds, share } = eased;
  const lower = isResistance(kind) ? level / share : level * share;
  return {
    steps: [
      { fromSeconds, level: lower },
      { fromSeconds: toSeconds, level },
    ],
  };
}

function layoutOf(run: ScenarioRun): LayoutName {
  const { layout }: ScenarioBench = BENCHES[run.bench];
  return layout === "tab" && runIndex(run) % 2 === 1 ? "tabGzip" : layout;
}

/** What the bench of a run logged of it. */
function measuredRun(run: ScenarioRun, plan: DischargePlan, random: Random): BenchLog {
  const bench: ScenarioBench = BENCHES[run.bench];
  const errors = drawInstrumentErrors(bench.facts, bench.errorShare, stream(42, 1 + indexIn(BENCHES, run.bench)));
  const { rateHz, largestZeroA } = COURSES[run.protocol];
  const measurement = {
    currentZeroA: random.between(-largestZeroA, largestZeroA),
    cellImbalance: bench.layout === "quoted" ? imbalance(PACKS[run.pack].series, random) : [],
  };
  const model = { ...bench, errors, rateHz: run.fault.rateHz ?? rateHz ?? bench.rateHz };
  return withGap(measure(simulateDischarge(plan), model, measurement, random), run, plan.restSeconds);
}

const randomOf = (run: ScenarioRun): Random => stream(41, 1 + runIndex(run));

/** The log of another run, as whoever passes it off as a run of his own altered it. */
function copiedLog(run: ScenarioRun): BenchLog {
  const original = RUNS.find(({ key }) => key === run.copyOf);
  if (original === undefined) throw new Error(`${run.key} copies a run that the scenario lacks`);
  return passedOff(measuredRun(original, planOf(original), randomOf(original)), BENCHES[run.bench]);
}

/** Simulates, measures and writes one run; the same run gives the same bytes. */
export function produceRun(run: ScenarioRun): ProducedRun {
  const plan = planOf(run);
  const bench: ScenarioBench = BENCHES[run.bench];
  const log = run.copyOf === null ? measuredRun(run, plan, randomOf(run)) : copiedLog(run);
  const layout = LAYOUTS[layoutOf(run)];
  const startedAt = new Date(Date.UTC(2026, 2, 7 + 2 * runIndex(run), 9, 10 + runIndex(run)));
  const title = `${PACKS[run.pack].name}, ${run.key}`;
  const { restMinutes, missingShare } = COURSES[run.protocol];
  return {
    fileName: `${run.key}.${layout.extension}`,
    mediaType: layout.mediaType,
    log: layout.write(log, { startedAt, title, resolution: bench.resolution }),
    startedAt: startedAt.toISOString(),
    ambientC: run.ambientC,
    restMinutes: run.fault.restMinutes ?? restMinutes ?? 15 + 5 * (runIndex(run) % 6),
    cycles: run.cycles,
    setpointA: plan.demand.kind === "constant-current" ? plan.demand.level : null,
    ...(missingShare === undefined ? {} : { stateOfChargePercent: 100 * (1 - missingShare) }),
  };
}

function imbalance(series: number, random: Random): number[] {
  const shares = Array.from({ length: series }, () => random.between(-0.002, 0.002));
  const mean = shares.reduce((sum, share) => sum + share, 0) / series;
  return shares.map((share) => share - mean);
}

function withGap(log: BenchLog, run: ScenarioRun, restSeconds: number): BenchLog {
  const { gap } = run.fault;
  if (gap === undefined) return log;
  const kept = <T>(channel: readonly T[]) =>
    channel.filter((_, i) => {
      const seconds = (log.timeSeconds[i] as number) - restSeconds;
      return seconds < gap.fromSeconds || seconds > gap.toSeconds;
    });
  return {
    timeSeconds: kept(log.timeSeconds),
    voltage: kept(log.voltage),
    current: kept(log.current),
    temperature: log.temperature === null ? null : kept(log.temperature),
    cells: log.cells === null ? null : kept(log.cells),
  };
}
