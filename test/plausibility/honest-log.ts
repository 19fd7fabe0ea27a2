import { CELL_VOLTS } from "../../seed/simulator/chemistry.js";
import type { Demand } from "../../seed/simulator/demand.js";
import { type Discharge, type DischargePlan, simulateDischarge } from "../../seed/simulator/discharge.js";
import { createRandom, type Random } from "../../seed/simulator/random.js";
import type { RunFacts } from "../../src/core/evaluate.js";
import type { BenchFacts } from "../../src/core/model.js";
import { type DrawnPack, drawDemand, drawPack, spread } from "../monte-carlo/population.js";
import { drawInstrument, readingsOf } from "./instrument.js";

export const PROTOCOL_KEYS = ["full-load", "two-pulse", "current-ladder", "rated-capacity"] as const;
export type ProtocolKey = (typeof PROTOCOL_KEYS)[number];

/** A run of an honest tester under one protocol: its log, what is declared, and the course without noise. */
export interface HonestLog {
  readonly text: string;
  readonly facts: RunFacts;
  readonly protocol: ProtocolKey;
  /** The same course as a spreadsheet's formulas would give it: every digit of a double, no noise. */
  readonly computed: () => string;
}

/** Run number `seed`; the same number gives the same log. Half of them are full loads. */
export function honestLog(seed: number): HonestLog {
  const random = createRandom(7919 * seed);
  const protocol = PROTOCOL_KEYS[Math.max(0, (seed % 6) - 2)] as ProtocolKey;
  const pack = drawPack(random);
  const plan = PLANS[protocol](pack, random);
  return logOf(protocol, pack, plan, random);
}

const PLANS: Readonly<Record<ProtocolKey, (pack: DrawnPack, random: Random) => DischargePlan>> = {
  "full-load": (pack, random) => {
    const demand = drawDemand(pack, random.between(0.55, 1), random);
    return { ...toCutoff(pack, random), demand: random.uniform() < 0.5 ? demand : throttled(demand, random) };
  },
  "current-ladder": (pack, random) => {
    const level = random.between(6, 14) * itOf(pack);
    return { ...toCutoff(pack, random), demand: { kind: "constant-current", level, riseSeconds: 0.3 } };
  },
  "rated-capacity": (pack, random) => ({
    ...toCutoff(pack, random),
    demand: { kind: "constant-current", level: 0.2 * itOf(pack), riseSeconds: 0 },
    restSeconds: 40,
    afterSeconds: 30,
    stepSeconds: 1.25,
  }),
  "two-pulse": (pack, random) => {
    const it = itOf(pack);
    const steps = [{ fromSeconds: 10, level: it }];
    return {
      ...toCutoff(pack, random),
      demand: { kind: "constant-current", level: 0.2 * it, riseSeconds: random.between(0.005, 0.1), steps },
      chargeMissingC: random.between(0.1, 0.6) * it * 3600,
      stop: { volts: 0, delaySeconds: 0, latestSeconds: random.between(11.1, 12.5) },
      stepSeconds: 0.01,
    };
  },
};

const itOf = ({ facts }: DrawnPack) => facts.ratedCapacityMah / 1000;

function toCutoff({ facts, model, chargeMissingC }: DrawnPack, random: Random): Omit<DischargePlan, "demand"> {
  const ambientC = random.between(17, 30);
  return {
    pack: model,
    ambientC,
    startC: ambientC + random.between(-1, 3),
    chargeMissingC,
    restSeconds: random.between(2, 6),
    stop: {
      volts: facts.series * (CELL_VOLTS[facts.chemistry].cutoff - 0.05),
      delaySeconds: random.between(0.6, 1),
      latestSeconds: 6 * 3600,
    },
    afterSeconds: random.between(1, 4),
    stepSeconds: 0.05,
  };
}

/** The same load eased for some seconds on the way, by hand. */
function throttled(demand: Demand, random: Random): Demand {
  const share = random.between(0.4, 0.8);
  const eased =
    demand.level * (demand.kind === "throttle" || demand.kind === "constant-resistance" ? 1 / share : share);
  const fromSeconds = random.between(8, 40);
  const until = fromSeconds + random.between(2, 8);
  return {
    ...demand,
    steps: [
      { fromSeconds, level: eased },
      { fromSeconds: until, level: demand.level },
    ],
  };
}

const SLOWEST_HZ: Readonly<Record<ProtocolKey, number>> = {
  "full-load": 1,
  "two-pulse": 10,
  "current-ladder": 1,
  "rated-capacity": 0.2,
};
const FASTEST_HZ: Readonly<Record<ProtocolKey, number>> = {
  "full-load": 50,
  "two-pulse": 50,
  "current-ladder": 5,
  "rated-capacity": 0.25,
};
const CELLS_LOGGED_SHARE = 0.3;
const POWER_LOGGED_SHARE = 0.3;
const MAX_CELL_NOISE_V = 0.005;

function logOf(protocol: ProtocolKey, pack: DrawnPack, plan: DischargePlan, random: Random): HonestLog {
  const run = simulateDischarge(plan);
  const { series, massGrams } = pack.facts;
  const instants = instantsOf(run, spread(SLOWEST_HZ[protocol], FASTEST_HZ[protocol], random), random);
  const amperes = Math.max(...run.current);
  const volts = at(run, "voltage");
  const current = at(run, "current");
  const [voltmeter, ammeter, probe] = [
    drawInstrument(series * 3.7, protocol === "two-pulse" ? 0.001 : 0.05, random),
    drawInstrument(amperes, protocol === "full-load" ? 0.5 : 0.01 * amperes, random),
    drawInstrument(30, 0.5, random),
  ];
  const voltage = readingsOf(voltmeter, instants, volts, random);
  const drawn = readingsOf(ammeter, instants, current, random);
  const columns: [string, string[]][] = [
    ["Time [s]", instants.map((t) => t.toFixed(3))],
    ["Voltage [V]", voltage.map(voltmeter.written)],
    ["Current [A]", drawn.map(ammeter.written)],
    ["Temperature [degC]", readingsOf(probe, instants, at(run, "temperature"), random).map(probe.written)],
  ];
  if (random.uniform() < CELLS_LOGGED_SHARE) columns.push(...cellColumns(run, series, instants, random));
  if (random.uniform() < POWER_LOGGED_SHARE) columns.push(...counters(instants, voltage, drawn));
  const computed = () =>
    csv([
      ["Time [s]", instants.map((t) => t.toFixed(3))],
      ["Voltage [V]", instants.map((t) => String(volts(Number(t.toFixed(3)))))],
      ["Current [A]", instants.map((t) => String(current(Number(t.toFixed(3)))))],
    ]);
  const bench: BenchFacts = {
    load: { kind: plan.demand.kind },
    voltage: { percent: 0.3, offset: series * 3.7 * 0.0005 + voltmeter.code },
    current: { percent: 0.3, offset: amperes * 0.0005 + ammeter.code },
    temperature: { offset: 1 },
    sense: { point: "pack" },
  };
  const conditions = {
    ambientC: plan.ambientC,
    restMinutes: 90,
    cycles: 10,
    setpointA: protocol === "current-ladder" ? plan.demand.level : null,
    stateOfChargePercent: protocol === "two-pulse" ? 50 : null,
  };
  const facts = { pack: { ...pack.facts, massGrams }, bench, conditions };
  return { text: csv(columns), computed, facts, protocol };
}

function csv(columns: readonly [string, readonly string[]][]): string {
  const rows = (columns[0]?.[1] ?? []).map((_, i) => columns.map(([, cells]) => cells[i]).join(","));
  return `${[columns.map(([header]) => header).join(","), ...rows].join("\n")}\n`;
}

/** Instants from the start of the log on, evenly or with some jitter. */
function instantsOf(run: Discharge, rateHz: number, random: Random): number[] {
  const length = (run.time.at(-1) as number) - (run.time[0] as number);
  const jitter = random.uniform() < 0.5 ? 0 : random.between(0, 0.2);
  const count = Math.floor((length - 1 / rateHz) * rateHz);
  return Array.from({ length: count }, (_, i) => (i + 1 + random.between(-jitter, jitter)) / rateHz);
}

/** A channel of the solution as a curve of the time since the start of the log: a cubic through four of its steps. */
function at(run: Discharge, channel: "voltage" | "current" | "temperature"): (seconds: number) => number {
  const values = run[channel];
  return (seconds) => {
    const place = Math.min(values.length - 3, Math.max(1, seconds / run.stepSeconds));
    const first = Math.floor(place);
    const x = place - first;
    const value = (step: number) => values[first + step] as number;
    const [a, b, c, d] = [value(-1), value(0), value(1), value(2)];
    const steps = Math.max(Math.abs(b - a), Math.abs(d - c), Math.abs(c - b));
    // Across the instant at which a load is switched, no curve: a line.
    if (steps > 0.02 * Math.abs(b)) return b + x * (c - b);
    return b + (x * (c - a)) / 2 + x * x * (a - 2.5 * b + 2 * c - d / 2) + x ** 3 * (1.5 * (b - c) + (d - a) / 2);
  };
}

/** Power, charge and energy as a logger works them out from what it has read. */
function counters(
  instants: readonly number[],
  voltage: readonly number[],
  current: readonly number[],
): [string, string[]][] {
  const power = voltage.map((volts, i) => volts * (current[i] as number));
  const counted = (rates: readonly number[]) => {
    let sum = 0;
    return rates.map((rate, i) => {
      sum += (rate * ((instants[i] as number) - (instants[i - 1] ?? 0))) / 3600;
      return sum;
    });
  };
  return [
    ["Power [W]", power.map((watts) => watts.toFixed(2))],
    ["Charge [mAh]", counted(current).map((hours) => (1000 * hours).toFixed(1))],
    ["Energy [Wh]", counted(power).map((hours) => hours.toFixed(4))],
  ];
}

/** Cells of one pack differ in charge, resistance and what their channels read. */
function cellColumns(
  run: Discharge,
  series: number,
  instants: readonly number[],
  random: Random,
): [string, string[]][] {
  const [volts, current] = [at(run, "voltage"), at(run, "current")];
  const drawn = drawInstrument(4, 0.01, random);
  // One converter reads all cells in turn; one with tens of mV of noise balances no pack.
  const meter = { ...drawn, gain: 1, offset: 0, noise: Math.min(drawn.noise, MAX_CELL_NOISE_V) };
  const ohm = 0.0005 / Math.max(...run.current);
  return Array.from({ length: series }, (_, cell) => {
    const ahead = 1 + random.between(-0.003, 0.003);
    const [share, offset] = [random.between(-0.0005, 0.0005), random.between(-0.003, 0.003)];
    const own = (t: number) =>
      (volts(t * ahead) / series) * (1 + share) + offset - ohm * random.gaussian() * current(t);
    return [`Cell ${cell + 1} [V]`, readingsOf(meter, instants, own, random).map(meter.written)];
  });
}
