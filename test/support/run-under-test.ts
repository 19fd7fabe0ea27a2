import type { Reading, ReadingKey } from "../../src/core/figures/reading.js";
import type { BenchFacts, Figure, Finding, PackFacts, RunConditions } from "../../src/core/model.js";
import { assessRules } from "../../src/core/protocol/conformance.js";
import { FULL_LOAD_1 } from "../../src/core/protocol/documents/full-load-1.js";
import { PROTOCOLS, type ProtocolDocument } from "../../src/core/protocol/index.js";
import type { RunUnderTest } from "../../src/core/protocol/rule.js";
import type { Samples } from "../../src/core/trace/samples.js";
import { BENCH, CONDITIONS, PACK } from "./facts.js";
import { instants, traceOf } from "./traces.js";

/** What a test changes of a run that passes every rule. A figure or read of null is absent. */
export interface RunChanges {
  readonly pack?: Partial<PackFacts>;
  readonly bench?: Partial<BenchFacts>;
  readonly conditions?: Partial<RunConditions>;
  readonly run?: Partial<RunUnderTest["run"]>;
  readonly samples?: Partial<Samples>;
  readonly part?: Partial<RunUnderTest["run"]["part"]>;
  readonly stop?: Partial<RunUnderTest["run"]["stop"]>;
  readonly figures?: Readonly<Record<string, number | null>>;
  readonly highestTemperatureC?: number | null;
  readonly nearestRatio?: number | null;
  /** Further numbers read off the trace. */
  readonly reads?: Readonly<Partial<Record<ReadingKey, number>>>;
  /** `full-load` when left out. */
  readonly protocol?: ProtocolDocument;
}

const LOAD_A = 100;
const END_S = 100;

/** 4 cells of 5000 mAh: 100 A for 100 s at 10 Hz, from 16.8 V through 14.5 V at 10 s down to the cutoff of 13.2 V. */
const trace = traceOf(instants(-2, END_S, 10), {
  volts: (t) => (t < 0 ? 16.8 : 14.65 - 0.0145 * t),
  amperes: (t) => (t < 0 ? 0 : LOAD_A),
  celsius: (t) => 25 + Math.max(0, t) / 5,
});

const none = { count: 0, first: null };
const noRows = { count: 0, between: () => none };

const samples: Samples = {
  ...trace,
  probes: trace.temperature ? [trace.temperature] : [],
  voltage: trace.voltage.map((volts) => Math.round(1000 * volts) / 1000),
  lowestCell: trace.voltage.map((volts) => volts / 4 - 0.01),
  cells: [-0.01, 0, 0, 0.01].map((by) => trace.voltage.map((volts) => volts / 4 + by)),
  meanCell: trace.voltage.map((volts) => volts / 4),
  loggedPower: trace.voltage.map((volts, i) => volts * (trace.current[i] as number)),
  loggedCharge: trace.time.map((t) => (Math.max(0, t) * LOAD_A) / 3600),
  loggedEnergy: trace.time.map((t) => (Math.max(0, t) * LOAD_A * (14.65 - 0.00725 * t)) / 3600),
  unusable: noRows,
  beyondRange: {
    voltage: { rows: [], before: [] },
    current: { rows: [], before: [] },
    log: { time: trace.time, voltage: trace.voltage, current: trace.current, lines: new Uint32Array(0) },
  },
  duplicates: noRows,
  unordered: noRows,
  turned: false,
  lines: Uint32Array.from(trace.time, (_, i) => i + 2),
};

const FIGURES = { "voltage-10s": 14.5, "capacity-share": 0.95, "specific-energy": 150, "resistance-10s": 20 };

const figuresOf = (values: Readonly<Record<string, number | null>>): Figure[] =>
  Object.entries(values).flatMap(([key, value]) =>
    value === null
      ? []
      : [
          {
            key,
            value,
            unit: "",
            uncertainty: 0,
            basis: "measured",
            load: null,
            shared: null,
            bound: "none",
            budget: [],
          },
        ],
  );

/** A run that passes every rule, but for the changes. */
export function runUnderTest(changes: RunChanges = {}): RunUnderTest {
  const pack: PackFacts = {
    ...PACK,
    labelContinuousC: null,
    labelBurstC: null,
    ...changes.pack,
  };
  const bench: BenchFacts = {
    ...BENCH,
    load: { kind: "constant-current" },
    ...changes.bench,
  };
  const stop = { reason: "cutoff", cutoffS: END_S, loadEndS: END_S, endS: END_S, ...changes.stop } as const;
  const own = new Map<ReadingKey, Reading>();
  const { highestTemperatureC = 45, nearestRatio = 1 } = changes;
  if (highestTemperatureC !== null)
    own.set("highest-temperature", { value: highestTemperatureC, channel: "temperature" });
  own.set("voltage-10s", { value: 14.5, channel: "voltage" });
  own.set("current-10s", { value: LOAD_A, channel: "current" });
  for (const [key, value = Number.NaN] of Object.entries(changes.reads ?? {}))
    own.set(key as ReadingKey, { value, channel: key.endsWith("current") ? "current" : "time" });
  const { protocol = FULL_LOAD_1 } = changes;
  return {
    protocol,
    cell: protocol.cells[pack.chemistry],
    pack,
    bench,
    conditions: { ...CONDITIONS, ...changes.conditions },
    run: {
      trace,
      readings: { ...trace, onsetS: 0, offsetA: null, leadsOhm: null },
      summary: { samples: trace.time.length, rateHz: 10, durationS: END_S, cutoffS: stop.cutoffS, stop: stop.reason },
      loadCurrentA: LOAD_A,
      riseS: 0.2,
      rest: { volts: 16.8, samples: 10 },
      startTemperatureC: 25,
      zero: { offsetA: 0.1, uncertaintyA: 0, isKnown: true, subtracted: true },
      senseOhm: 0,
      summed: null,
      largestGap: { seconds: 0.1, fromS: 0 },
      clippedS: 0,
      recoveryS: 8,
      repeats: null,
      instantS: null,
      joined: null,
      spikes: { repaired: [], left: none },
      adjustments: [],
      ...changes.run,
      part: { from: 0, to: trace.time.length, unusable: none, duplicates: none, unordered: none, ...changes.part },
      samples: { ...samples, ...changes.samples },
      stop,
    },
    reads: { own, stop, model: null, nearestRatio, translated: [] },
    figures: figuresOf({ ...FIGURES, ...changes.figures }),
  };
}

/** The finding of one rule, as the first protocol that knows it sets it. */
export function findingOf(rule: string, changes: RunChanges = {}): Finding {
  const protocol = PROTOCOLS.find(({ rules }) => rules.some((setting) => setting.rule === rule));
  if (!protocol) throw new Error(`no protocol sets ${rule}`);
  const finding = assessRules(runUnderTest({ protocol, ...changes })).find((one) => one.rule === rule);
  if (!finding) throw new Error(`the protocol does not set ${rule}`);
  return finding;
}

/** A run of which nothing is known but time, voltage and current. */
export const BARE_RUN: RunChanges = {
  bench: { temperature: null, sense: { point: "lead" } },
  conditions: { ambientC: null, restMinutes: null, cycles: null, setpointA: null },
  run: {
    trace: { ...trace, temperature: null },
    riseS: null,
    rest: null,
    startTemperatureC: null,
    zero: null,
    senseOhm: null,
  },
  samples: {
    temperature: null,
    probes: [],
    lowestCell: null,
    cells: [],
    meanCell: null,
    loggedPower: null,
    loggedCharge: null,
    loggedEnergy: null,
  },
  figures: Object.fromEntries(Object.keys(FIGURES).map((key) => [key, null])),
  highestTemperatureC: null,
  nearestRatio: null,
};
