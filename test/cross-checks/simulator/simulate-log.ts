import type { RunFacts } from "../../../src/core/evaluate.js";
import type { RunConditions } from "../../../src/core/model.js";
import { type BenchLog, benchFacts, logCourse, type SimulatedBench } from "./bench.js";
import { CELL_VOLTS } from "./cell-volts.js";
import { type Course, type DischargePlan, simulateDischarge } from "./discharge.js";
import { type LoadLaw, resistance, standardLoadOhm } from "./load.js";
import type { SimulatedPack } from "./pack.js";
import { randomOf } from "./random.js";
import { type TrueFigures, trueFigures } from "./true-figures.js";

export interface LogRequest {
  readonly pack: SimulatedPack;
  readonly load: LoadLaw;
  readonly bench: SimulatedBench;
  /** Decides the noise and, unless given, the temperatures. */
  readonly seed: string;
  readonly ambientC?: number;
  readonly startC?: number;
  /** V per cell to which figures are read; those of the full load unless given. */
  readonly cutoffVoltsPerCell?: number;
  /** What the tester declares otherwise than a full load's. */
  readonly conditions?: Partial<RunConditions>;
  readonly endsLoad?: DischargePlan["endsLoad"];
  /** Widens the solver's steps; for slow runs. */
  readonly stepScale?: number;
}

export interface SimulatedLog {
  readonly csv: string;
  readonly log: BenchLog;
  /** What a tester declares with the log. */
  readonly facts: RunFacts;
  readonly course: Course;
  readonly truth: {
    /** Under the run's own load; null when it never reached the cutoff. */
    readonly own: TrueFigures | null;
    /**
     * Of the same pack from the same start under the standard load of so many amperes, which comes on at once; null when the
     * pack does not carry it.
     */
    standard(amperes: number): TrueFigures | null;
  };
}

const LATEST_SECONDS = 6 * 3600;
const STANDARD_STOP_HOLD_SECONDS = 0.5;

/** One run of a pack on a bench to its cutoff: the log, what is declared of it, and what is true. */
export function simulateLog(request: LogRequest): SimulatedLog {
  const { pack, load, bench, seed } = request;
  const random = randomOf(`log ${seed}`);
  const ambientC = request.ambientC ?? random.between(17, 30);
  const startC = request.startC ?? ambientC + random.between(-1, 2);
  const cutoff = pack.facts.series * (request.cutoffVoltsPerCell ?? CELL_VOLTS[pack.facts.chemistry].cutoff);
  const plan: DischargePlan = {
    pack,
    load,
    startC,
    ambientC,
    restSeconds: bench.restSeconds,
    rampSeconds: bench.rampSeconds,
    stop: {
      volts: cutoff - pack.facts.series * bench.belowCutoffVolts,
      holdSeconds: bench.belowCutoffSeconds ?? STANDARD_STOP_HOLD_SECONDS,
      latestSeconds: LATEST_SECONDS,
    },
    endsLoad: request.endsLoad,
    afterSeconds: bench.afterSeconds,
    stepScale: request.stepScale ?? 1,
  };
  const course = simulateDischarge(plan);
  const log = logCourse(course, bench, random);
  const standards = new Map<number, TrueFigures | null>();
  return {
    csv: log.csv,
    log,
    facts: {
      pack: pack.facts,
      bench: benchFacts(bench, load.kind),
      conditions: { ambientC, restMinutes: 30, cycles: 10, setpointA: null, ...request.conditions },
    },
    course,
    truth: {
      own: trueFigures(course, pack.facts, cutoff),
      standard: (amperes) => {
        if (!standards.has(amperes)) standards.set(amperes, underStandardLoad(plan, amperes, cutoff));
        return standards.get(amperes) ?? null;
      },
    },
  };
}

function underStandardLoad(plan: DischargePlan, amperes: number, cutoffVolts: number): TrueFigures | null {
  const standard: DischargePlan = {
    ...plan,
    endsLoad: undefined,
    load: resistance(standardLoadOhm(plan.pack.facts.series, amperes)),
    rampSeconds: 0,
    stop: { volts: cutoffVolts, holdSeconds: STANDARD_STOP_HOLD_SECONDS, latestSeconds: LATEST_SECONDS },
    afterSeconds: 1,
  };
  return trueFigures(simulateDischarge(standard), plan.pack.facts, cutoffVolts);
}
