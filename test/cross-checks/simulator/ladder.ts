import type { Chemistry, PackFacts } from "../../../src/core/model.js";
import { EXACT_BENCH, type Instrument, type SimulatedBench } from "./bench.js";
import { CELL_VOLTS } from "./cell-volts.js";
import { simulateDischarge } from "./discharge.js";
import { constantCurrent } from "./load.js";
import type { SimulatedPack } from "./pack.js";
import { drawPack, type Population } from "./populations.js";
import { type Random, randomOf } from "./random.js";
import { type SimulatedLog, simulateLog } from "./simulate-log.js";

/** One constant-current step of a ladder as an honest bench logs it. */
export interface LadderStep {
  readonly setpointA: number;
  readonly run: SimulatedLog;
  /** What ended the step on this bench: the cutoff, or its own probe at the limit. */
  readonly endedBy: "cutoff" | "temperature";
  /** What the pack's surface had really reached when the load was taken off, degC. */
  readonly warmestC: number;
}

export interface SimulatedLadder {
  readonly pack: SimulatedPack;
  readonly bench: SimulatedBench;
  /** From the lowest current to the highest. */
  readonly steps: readonly LadderStep[];
  readonly truth: {
    /** The highest step that ended at the cutoff below every one that did not; null when there is none. */
    readonly verifiedA: number | null;
    /** The lowest step that the probe ended; null when there is none. */
    readonly lowestFailingA: number | null;
    /** The current at which the surface reaches the limit just as the voltage reaches the cutoff, from 23 degC. */
    readonly coincidenceA: number;
  };
}

export interface LadderRequest {
  readonly population: Population;
  readonly chemistry: Chemistry;
  readonly name: string;
  /** Standard deviation of one reading of the probe, K; drawn from 0.02 to 0.2 unless given. */
  readonly probeNoiseK?: number;
  /** Rate of the logger, Hz; drawn from 1.05 to 10 unless given. */
  readonly rateHz?: number;
}

const LIMIT_C = 60;
const AMBIENT_C = 23;
/** A bench looks at its probe so often, whatever its logger writes, Hz. */
const WATCH_HZ = 10;
const MAX_DRAWS = 40;
const BISECTIONS = 14;
const RATES = [2, 45] as const;

/**
 * An honest ladder: steps of constant current that rise by a ratio about the current at which limit and cutoff coincide, each from a
 * full, rested pack at the room's temperature. The bench ends a step at the cutoff, or when its own probe, with its offset and noise,
 * reads 60.0 degC. The log shows the same probe.
 */
export function drawLadder(request: LadderRequest): SimulatedLadder {
  for (let draw = 0; draw < MAX_DRAWS; draw++) {
    const seed = `${request.population} ${request.chemistry} ${request.name} ${draw}`;
    const random = randomOf(`ladder ${seed}`);
    const pack = drawPack(request.population, request.chemistry, `ladder ${seed}`);
    const coincidenceA = coincidenceOf(pack);
    if (coincidenceA === null) continue;
    const bench = drawLadderBench(pack.facts, coincidenceA, request, random);
    const currents = drawCurrents(coincidenceA, random);
    const steps = currents.map((setpointA, n) => simulateStep(pack, bench, setpointA, random, `${seed} ${n}`));
    const failing = steps.filter(({ endedBy }) => endedBy === "temperature").map(({ setpointA }) => setpointA);
    const lowestFailingA = failing.length > 0 ? Math.min(...failing) : null;
    const below = currents.filter((amperes) => amperes < (lowestFailingA ?? Number.POSITIVE_INFINITY));
    return {
      pack,
      bench,
      steps,
      truth: { verifiedA: below.at(-1) ?? null, lowestFailingA, coincidenceA },
    };
  }
  throw new Error(
    `no pack of ${request.population} ${request.chemistry} ${request.name} meets its limit at its cutoff`,
  );
}

/** One step; `probe` noise is drawn from the stream of the ladder. */
function simulateStep(
  pack: SimulatedPack,
  bench: SimulatedBench,
  setpointA: number,
  random: Random,
  seed: string,
): LadderStep {
  const ambientC = AMBIENT_C + random.between(-1, 1);
  const probe = bench.temperature as Instrument;
  let looked = 0;
  let endedBy: LadderStep["endedBy"] = "cutoff";
  const endsLoad = (seconds: number, surfaceC: number) => {
    if (seconds < looked / WATCH_HZ) return false;
    looked++;
    const reading = surfaceC + probe.offset + probe.noise * random.normal();
    if (Math.round(reading / probe.step) * probe.step < LIMIT_C) return false;
    endedBy = "temperature";
    return true;
  };
  const run = simulateLog({
    pack,
    load: constantCurrent(setpointA),
    bench,
    seed: `ladder ${seed}`,
    ambientC,
    startC: ambientC + random.between(-0.3, 1),
    conditions: { setpointA },
    endsLoad,
  });
  const { course } = run;
  const last = course.time.findLastIndex((t) => t <= course.offSeconds);
  return { setpointA, run, endedBy, warmestC: course.temperature[last] as number };
}

/** The current at which the surface reaches the limit as the voltage reaches the cutoff; null when no current of interest does. */
function coincidenceOf(pack: SimulatedPack): number | null {
  const ampereHours = pack.cell.chargeCoulomb / 3600;
  let [low, high] = [RATES[0] * ampereHours, RATES[1] * ampereHours];
  if (endsHotterThanLimit(pack, low) || !endsHotterThanLimit(pack, high)) return null;
  for (let k = 0; k < BISECTIONS; k++) {
    const middle = Math.sqrt(low * high);
    if (endsHotterThanLimit(pack, middle)) high = middle;
    else low = middle;
  }
  return Math.sqrt(low * high);
}

function endsHotterThanLimit(pack: SimulatedPack, amperes: number): boolean {
  const { series, chemistry } = pack.facts;
  try {
    const { temperature } = simulateDischarge({
      pack,
      load: constantCurrent(amperes),
      startC: AMBIENT_C,
      ambientC: AMBIENT_C,
      restSeconds: 0.05,
      rampSeconds: 0.05,
      stop: { volts: series * CELL_VOLTS[chemistry].cutoff, holdSeconds: 0, latestSeconds: 7200 },
      afterSeconds: 0,
      stepScale: 2,
    });
    return (temperature.at(-1) as number) >= LIMIT_C;
  } catch (error) {
    // A current that the pack does not carry lies above every step.
    if (error instanceof RangeError) return true;
    throw error;
  }
}

/** Five or six currents, with two digits or three, that lie about the coincidence. */
function drawCurrents(coincidenceA: number, random: Random): number[] {
  const ratio = random.between(1.08, 1.25);
  const first = -random.pick([2, 3]) - random.between(0.15, 0.85);
  const digits = coincidenceA < 100 ? 2 : 3;
  const steps = [0, 1, 2, 3, 4, 5].map((k) => Number((coincidenceA * ratio ** (first + k)).toPrecision(digits)));
  return [...new Set(steps)];
}

function drawLadderBench(
  { series }: PackFacts,
  amperes: number,
  { probeNoiseK, rateHz }: LadderRequest,
  random: Random,
): SimulatedBench {
  const volts = series * 3.7;
  const statedK = random.between(0.5, 1.5);
  return {
    ...EXACT_BENCH,
    stated: {
      voltage: { percent: 0.1, offset: volts * 0.0005 },
      current: { percent: 0.5, offset: amperes * 0.002 },
      temperature: { offset: statedK },
      sense: { point: "pack" },
    },
    rateHz: rateHz ?? random.logBetween(1.05, 10),
    voltage: { gain: random.between(-0.001, 0.001), offset: 0, noise: volts * 0.0001, step: 0.001 },
    current: { gain: random.between(-0.005, 0.005), offset: 0, noise: amperes * 0.001, step: 0.01 },
    temperature: {
      gain: 0,
      offset: random.between(-statedK, statedK) / 2,
      noise: probeNoiseK ?? random.logBetween(0.02, 0.2),
      step: 0.1,
    },
    restSeconds: random.between(3, 6),
    rampSeconds: random.between(0.1, 0.6),
    belowCutoffVolts: random.between(0, 0.03),
    afterSeconds: random.between(6, 10),
  };
}
