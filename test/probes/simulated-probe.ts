import { CELL_VOLTS } from "../../seed/simulator/chemistry.js";
import type { Demand } from "../../seed/simulator/demand.js";
import { type Discharge, simulateDischarge } from "../../seed/simulator/discharge.js";
import type { Random } from "../../seed/simulator/random.js";
import { type DrawnPack, drawDemand, drawPack, spread } from "../monte-carlo/population.js";

/** How the pack is cooled: in still air, by wind from the start, or by a fan that is switched on half-way. */
export const COOLINGS = ["still", "wind", "fan"] as const;
export type Cooling = (typeof COOLINGS)[number];

/** A pack under load with its temperature; time 0 is when the load is switched on, s, A, V, degC. */
export interface HeatedPack {
  readonly pack: DrawnPack;
  readonly run: Discharge;
  /** Of the pack; `run.temperature` is that of still air. */
  readonly celsius: Float64Array;
  readonly loadEndS: number;
}

const KINDS = ["full", "full", "ladder", "ladder", "low", "rated"] as const;

/** A run of any protocol's level, from 0.2 It to a full load, now and then eased by hand, on a pack cooled so. */
export function drawHeatedPack(cooling: Cooling, random: Random): HeatedPack {
  const pack = drawPack(random);
  const it = pack.facts.ratedCapacityMah / 1000;
  const kind = KINDS[Math.floor(random.uniform() * KINDS.length)] as (typeof KINDS)[number];
  const constant = (level: number): Demand => ({ kind: "constant-current", level, riseSeconds: 0.2 });
  const demand = {
    full: () => eased(drawDemand(pack, random.between(0.4, 1), random), random),
    ladder: () => eased(constant(it * random.between(6, 14)), random),
    low: () => constant(it * random.between(1, 5)),
    rated: () => constant(it * 0.2),
  }[kind]();
  const ambientC = random.between(17, 30);
  const run = simulateDischarge({
    pack: pack.model,
    demand,
    ambientC,
    startC: ambientC,
    chargeMissingC: pack.chargeMissingC,
    restSeconds: kind === "rated" ? 40 : random.between(2, 8),
    stop: {
      volts: pack.facts.series * (CELL_VOLTS[pack.facts.chemistry].cutoff - 0.05),
      delaySeconds: 0.7,
      latestSeconds: 6 * 3600,
    },
    afterSeconds: random.between(1, 12),
    stepSeconds: { full: 0.05, ladder: 0.05, low: 0.2, rated: 2 }[kind],
  });
  const loadEndS = run.time[run.current.findLastIndex((amperes) => amperes > 0)] as number;
  const celsius = cooling === "still" ? run.temperature : cooled(pack, run, { cooling, ambientC, loadEndS }, random);
  return { pack, run, celsius, loadEndS };
}

function eased(demand: Demand, random: Random): Demand {
  if (random.uniform() < 0.7) return demand;
  const share = random.between(0.4, 0.9);
  const isOhm = demand.kind === "throttle" || demand.kind === "constant-resistance";
  const fromSeconds = random.between(8, 60);
  const less = { fromSeconds, level: demand.level * (isOhm ? 1 / share : share) };
  const again = { fromSeconds: fromSeconds + random.between(2, 30), level: demand.level };
  return { ...demand, steps: random.uniform() < 0.5 ? [less] : [less, again] };
}

/** One lump that gives its heat to the air with a time constant; its resistance is higher at both ends of the charge and rises at the empty one. */
function cooled(
  { model, settledOhm }: DrawnPack,
  { time, current }: Discharge,
  { cooling, ambientC, loadEndS }: { cooling: Cooling; ambientC: number; loadEndS: number },
  random: Random,
): Float64Array {
  const [still, moved] = [spread(600, 1800, random), spread(60, 600, random)];
  const fromS = cooling === "fan" ? loadEndS * random.between(0.3, 0.85) : Number.NEGATIVE_INFINITY;
  const celsius = new Float64Array(time.length).fill(ambientC);
  for (let i = 1; i < time.length; i++) {
    const [t, before, amperes] = [time[i] as number, celsius[i - 1] as number, current[i - 1] as number];
    const share = t / loadEndS;
    const grown = 1 + 0.2 * (2 * share - 1) ** 2 + (0.8 * Math.max(0, share - 0.85)) / 0.15;
    const ohm = settledOhm * grown * Math.exp(-model.resistanceFallPerKelvin * (before - 25));
    const gained = (amperes * amperes * ohm) / model.heatCapacityJPerK;
    celsius[i] = before + (t - (time[i - 1] as number)) * (gained - (before - ambientC) / (t > fromS ? moved : still));
  }
  return celsius;
}

/** A probe as it is logged: normal noise, K; digits, K; behind the pack by a time constant, s; so many rows a second; not beyond an end, degC. */
export interface SimulatedProbe {
  readonly noiseK: number;
  readonly digitK: number;
  readonly lagS: number;
  readonly rateHz: number;
  readonly endC: number;
}

export interface ProbeLog {
  readonly time: Float64Array;
  readonly voltage: Float64Array;
  readonly current: Float64Array;
  readonly temperature: Float64Array;
  /** The highest temperature that the probe itself had under load. */
  readonly highestC: number;
}

/** The rows of a run with such a probe. */
export function logOf({ run, celsius, loadEndS }: HeatedPack, probe: SimulatedProbe, random: Random): ProbeLog {
  const { noiseK, digitK, lagS, rateHz, endC } = probe;
  const rows = { time: [] as number[], voltage: [] as number[], current: [] as number[], temperature: [] as number[] };
  const behind = lagS > 0 ? 1 - Math.exp(-run.stepSeconds / lagS) : 1;
  let felt = celsius[0] as number;
  let highestC = felt;
  let next = run.time[0] as number;
  for (let i = 0; i < celsius.length; i++) {
    const t = run.time[i] as number;
    felt += behind * ((celsius[i] as number) - felt);
    if (t <= loadEndS) highestC = Math.max(highestC, felt);
    if (t < next) continue;
    next += 1 / rateHz;
    const read = Math.min(endC, felt + noiseK * random.gaussian());
    rows.time.push(t);
    rows.voltage.push(run.voltage[i] as number);
    rows.current.push(run.current[i] as number);
    rows.temperature.push(Number((Math.round(read / digitK) * digitK).toFixed(6)));
  }
  return {
    time: Float64Array.from(rows.time),
    voltage: Float64Array.from(rows.voltage),
    current: Float64Array.from(rows.current),
    temperature: Float64Array.from(rows.temperature),
    highestC,
  };
}

const oneOf = <T>(choices: readonly T[], random: Random): T =>
  choices[Math.floor(random.uniform() * choices.length)] as T;

/** A probe of any of the usual digits, quiet or noisy, on the pack or behind it. */
export function drawProbe({ loadEndS }: HeatedPack, random: Random): SimulatedProbe {
  return {
    noiseK: oneOf([0, 0, 0.03, 0.05, 0.1, 0.3], random),
    digitK: oneOf([0.01, 0.0625, 0.1, 0.1, 0.25, 0.5, 1, 1, 2], random),
    lagS: oneOf([0, 0, 3, 10, 25], random),
    rateHz: loadEndS > 600 ? oneOf([0.2, 0.5], random) : spread(1, 20, random),
    endC: Number.POSITIVE_INFINITY,
  };
}
