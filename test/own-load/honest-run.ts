import { type BenchModel, measure } from "../../seed/simulator/bench.js";
import { type Discharge, type DischargePlan, simulateDischarge } from "../../seed/simulator/discharge.js";
import { createRandom, type Random } from "../../seed/simulator/random.js";
import { evaluate } from "../../src/core/evaluate.js";
import type { BenchFacts, Evaluation, LoadKind, RunConditions } from "../../src/core/model.js";
import { blockingRules } from "../../src/core/protocol/conformance.js";
import { PROTOCOLS } from "../../src/core/protocol/index.js";
import { type DrawnPack, drawPack, spread } from "../monte-carlo/population.js";
import { withoutTranslations } from "../support/protocols.js";
import { csvOf } from "../support/traces.js";

/** Everything that one kind of honest run leaves open; each run draws the rest of its number. */
export interface HonestKind {
  readonly protocol: string;
  readonly load: LoadKind;
  readonly draw: (pack: DrawnPack, random: Random) => DrawnRun;
}

export interface DrawnRun {
  readonly plan: Omit<DischargePlan, "pack" | "ambientC" | "startC" | "stepSeconds"> & { readonly stepSeconds: number };
  readonly rateHz: number;
  readonly voltage: { readonly percent: number; readonly offset: number };
  readonly current: { readonly percent: number; readonly offset: number };
  /** Noise and digits of the current sensor, A. */
  readonly noiseA: number;
  readonly digitA: number;
  /** By how much of a sample the current column lags behind the voltage column. */
  readonly lagSamples?: number;
  readonly conditions: Partial<RunConditions>;
  /** The bench ends the run when its own probe reads this, degC. */
  readonly endsAtReadingC?: number;
}

export interface HonestResult {
  readonly evaluation: Evaluation;
  /** Required rules that keep it from conforming. */
  readonly blocking: readonly string[];
  readonly pack: DrawnPack;
  /** Charge that the pack gave from the onset to the protocol's cutoff, mAh; null when it did not get there. */
  readonly trueCapacityMah: number | null;
  /** Whether the pack was at the temperature at which the bench ends, when the load went. */
  readonly endedByTemperature: boolean;
}

/** Run number `seed` of a kind, evaluated: every instrument errs anywhere within what is stated, the clock within 0.1 %. */
export async function honestRun(
  kind: HonestKind,
  seed: number,
  chemistry?: DrawnPack["facts"]["chemistry"],
): Promise<HonestResult> {
  const random = createRandom(1 + 104_729 * seed);
  const pack = drawPack(random, chemistry);
  const drawn = kind.draw(pack, random);
  const ambientC = random.between(17, 22.5);
  const facts: BenchFacts = {
    load: { kind: kind.load },
    voltage: drawn.voltage,
    current: drawn.current,
    temperature: { offset: random.between(0.5, 2) },
    sense: { point: "pack" },
  };
  const anywhere = (halfWidth: number) => random.between(-halfWidth, halfWidth);
  const bench: BenchModel = {
    facts,
    rateHz: drawn.rateHz,
    jitterShare: random.between(0, 0.05),
    noise: { volts: spread(0.0005, 0.004, random), amperes: drawn.noiseA, kelvin: 0.05 },
    resolution: { volts: 0.001, amperes: drawn.digitA, kelvin: 0.1 },
    errors: {
      voltageGain: anywhere(drawn.voltage.percent / 100),
      voltageOffsetV: anywhere(drawn.voltage.offset),
      currentGain: anywhere(drawn.current.percent / 100),
      temperatureOffsetK: anywhere(facts.temperature?.offset ?? 0),
    },
  };
  const ends =
    drawn.endsAtReadingC === undefined ? {} : { celsius: drawn.endsAtReadingC - bench.errors.temperatureOffsetK };
  const plan: DischargePlan = {
    ...drawn.plan,
    pack: pack.model,
    ambientC,
    startC: ambientC + random.between(-0.5, 0.5),
    stop: { ...drawn.plan.stop, ...ends },
  };
  const discharge = simulateDischarge(plan);
  const lagSteps = Math.round((drawn.lagSamples ?? 0) / drawn.rateHz / drawn.plan.stepSeconds);
  const lagging = discharge.current.map((_, i, all) => all[Math.max(0, i - lagSteps)] as number);
  const currentZeroA = anywhere(drawn.current.offset);
  const clockError = anywhere(0.001);
  const logged = measure({ ...discharge, current: lagging }, bench, { currentZeroA, cellImbalance: [] }, random);
  const log = csvOf({
    time: Float64Array.from(logged.timeSeconds, (t) => Math.round(1000 * t * (1 + clockError)) / 1000),
    voltage: Float64Array.from(logged.voltage, (volts) => Math.round(1000 * volts) / 1000),
    current: Float64Array.from(logged.current, (amperes) => Math.round(1e4 * amperes) / 1e4),
    temperature: logged.temperature && Float64Array.from(logged.temperature),
  });
  const protocol = PROTOCOLS.find(({ key }) => key === kind.protocol);
  if (!protocol) throw new Error(`there is no protocol ${kind.protocol}`);
  const conditions = { ambientC, restMinutes: 120, cycles: 10, setpointA: null, ...drawn.conditions };
  const run = { pack: pack.facts, bench: facts, conditions };
  const { evaluation } = await evaluate([Buffer.from(log)], run, withoutTranslations(protocol));
  const cutoff = protocol.cells[pack.facts.chemistry].cutoff;
  return {
    evaluation,
    blocking: blockingRules(evaluation.findings, protocol.rules),
    pack,
    trueCapacityMah: cutoff === null ? null : chargeTo(discharge, pack.facts.series * cutoff),
    endedByTemperature: ends.celsius !== undefined && Math.max(...discharge.temperature) >= ends.celsius,
  };
}

/** Charge from the first sample under load to the first at or below a voltage, mAh; null when there is none. */
function chargeTo({ time, voltage, current }: Discharge, volts: number): number | null {
  let coulombs = 0;
  for (let i = 1; i < time.length; i++) {
    if ((current[i] as number) > 0 && (voltage[i] as number) <= volts) return coulombs / 3.6;
    coulombs +=
      (((current[i] as number) + (current[i - 1] as number)) / 2) * ((time[i] as number) - (time[i - 1] as number));
  }
  return null;
}
